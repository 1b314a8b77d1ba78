// The standing holds that reach lots: on themselves, on what they came of, on what they touched.
import { sql } from 'kysely'
import { metByBlade } from '#trade/blade-contact.ts'
import { holdsReaching, metInBaths } from '#trade/hold-reach.ts'
import type { Around, HoldOn, Soaked, Touch } from '#trade/hold-reach.ts'
import type { StandingHold } from '#trade/lot-facts.ts'
import type { WoodSpan } from '#trade/wood-spans.ts'
import type { Database } from '../../db/connect.ts'
import { isCarriedByBlade, readFoulSpells, readHeldWood } from './foul-spells.ts'
import { walkUp } from './upstream.ts'
import type { Upstream } from './upstream.ts'

/**
 * Every standing hold that reaches each lot (invariant 8). By lineage: on the lot, on lots and
 * sources upstream, whatever the agent, for every agent travels by grafting. By contact, only by
 * the routes of the held agent (all routes for a hold without agent): on a bath or place that the
 * wood was in, on the tank and the places around; and on other wood that was in the same bath
 * before it left, or was cut before it by the same blade, as long as that was not disinfected and
 * did not lie unused (see `spellsOf`, by which recalls go as well). Where no knife was tagged, the
 * blade is that in the hand of the person: the careful reading, for a hold that stops too much is
 * lifted, and one that stops too little is not seen. A hold whose time lies ahead of the clock
 * stands as well. A constant number of queries.
 */
export async function readLotHolds(
  db: Database,
  upstream: Upstream,
  spans: Map<string, WoodSpan[]>,
  around: Around,
): Promise<Map<string, StandingHold[]>> {
  const holds = await readStanding(db)
  const result = new Map<string, StandingHold[]>()
  for (const lotId of upstream.sameWood.keys()) result.set(lotId, [])
  if (holds.size === 0) return result
  const met = await readMetWood(db, upstream, spans, holds)
  const origins = await walkUp(db, [...new Set([...met.values()].flat().map(({ id }) => id))])
  for (const lotId of result.keys()) {
    const lot = {
      lotId,
      cameOf: upstream.reached.get(lotId) ?? [lotId],
      spans: spans.get(lotId) ?? [],
      met: met.get(lotId) ?? [],
    }
    result.set(
      lotId,
      holdsReaching(lot, holds, around, (id) => origins.get(id) ?? []),
    )
  }
  return result
}

/** All standing holds by the id they are on; there are few at any time. */
async function readStanding(db: Database): Promise<Map<string, HoldOn[]>> {
  const rows = await db
    .selectFrom('standing_hold')
    .select(['hold_id', 'on_kind', 'on_id', 'agent'])
    .orderBy('hold_id')
    .execute()
  const holds = new Map<string, HoldOn[]>()
  for (const row of rows) {
    const hold = { holdId: row.hold_id, onKind: row.on_kind, onId: row.on_id, agent: row.agent }
    holds.set(row.on_id, [...(holds.get(row.on_id) ?? []), hold])
  }
  return holds
}

/** Other wood that each lot met in a bath, and held wood that it met by a blade. */
async function readMetWood(
  db: Database,
  upstream: Upstream,
  spans: Map<string, WoodSpan[]>,
  holds: Map<string, HoldOn[]>,
): Promise<Map<string, Touch[]>> {
  const bathIds = [...spans.values()]
    .flat()
    .flatMap((span) => (span.kind === 'bath' ? span.id : []))
  const soaked = await readSoaked(db, [...new Set(bathIds)])
  const carried = [...holds].flatMap(([id, on]) => (on.some(isCarriedByBlade) ? id : []))
  const held = new Set((await readHeldWood(db, carried)).map(({ lotId }) => lotId))
  const wood = [...new Set([...upstream.sameWood.values()].flat().map(({ lotId }) => lotId))]
  const spells = (await readFoulSpells(db, [...held], wood)).map(({ cuts }) => cuts)
  const met = new Map<string, Touch[]>()
  for (const [lotId, parts] of upstream.sameWood) {
    const own = new Set(parts.map((part) => part.lotId))
    const touches = metInBaths(spans.get(lotId) ?? [], (id) => soaked.get(id) ?? [], own)
    met.set(lotId, [...touches, ...metByBlade(parts, spells, (id) => held.has(id))])
  }
  return met
}

type SoakedRow = { bath_id: string; lot_id: string; began_at: Date }

/** Which lots came into which bath, and when first. */
async function readSoaked(db: Database, bathIds: string[]): Promise<Map<string, Soaked[]>> {
  if (bathIds.length === 0) return new Map()
  const rows = await sql<SoakedRow>`
    select account_id as bath_id, lot_id, min(occurred_at) as began_at from movement
    where account_id = any(${bathIds}::uuid[]) and account_kind = 'bath' and count > 0
    group by 1, 2 order by 1, 2`.execute(db)
  const soaked = new Map<string, Soaked[]>()
  for (const row of rows.rows) {
    const one = { lotId: row.lot_id, beganAt: row.began_at.getTime() }
    soaked.set(row.bath_id, [...(soaked.get(row.bath_id) ?? []), one])
  }
  return soaked
}
