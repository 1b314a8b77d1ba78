// The standing holds that reach lots: on themselves, on what they came of, on what they touched.
import { sql } from 'kysely'
import { BLADE_CARRIES_HOURS } from '#trade/blade-contact.ts'
import { MS_PER_HOUR } from '#trade/intervals.ts'
import { routesOf } from '#trade/health-agents.ts'
import type { Route } from '#trade/health-agents.ts'
import { holdsReaching, metInBaths } from '#trade/hold-reach.ts'
import type { Around, HoldOn, Soaked, Touch } from '#trade/hold-reach.ts'
import type { StandingHold } from '#trade/lot-facts.ts'
import type { SameWood } from '#trade/same-wood.ts'
import type { WoodSpan } from '#trade/wood-spans.ts'
import type { Database } from '../../db/connect.ts'
import { walkUp } from './upstream.ts'
import type { Upstream } from './upstream.ts'

export { BLADE_CARRIES_HOURS }

/**
 * Every standing hold that reaches each lot (invariant 8). By lineage: on the lot, on lots and
 * sources upstream, whatever the agent, for every agent travels by grafting. By contact, only by
 * the routes of the held agent (all routes for a hold without agent): on a bath or place that the
 * wood was in, on the tank and the places around; and on other wood that was in the same bath
 * before it left, or was cut with the same knife up to BLADE_CARRIES_HOURS before. A hold whose
 * time lies ahead of the clock stands as well. A constant number of queries.
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
  const met = await readMetWood(db, upstream, spans, needs(holds, 'blade'))
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

function needs(holds: Map<string, HoldOn[]>, route: Route): boolean {
  return [...holds.values()].flat().some((hold) => routesOf(hold.agent).has(route))
}

/** Other wood that each lot met in a bath, or by a knife. */
async function readMetWood(
  db: Database,
  upstream: Upstream,
  spans: Map<string, WoodSpan[]>,
  byBlade: boolean,
): Promise<Map<string, Touch[]>> {
  const bathIds = [...spans.values()]
    .flat()
    .flatMap((span) => (span.kind === 'bath' ? span.id : []))
  const soaked = await readSoaked(db, [...new Set(bathIds)])
  const wood = [...new Set([...upstream.sameWood.values()].flat().map(({ lotId }) => lotId))]
  const cut = byBlade ? await readSameKnife(db, wood) : []
  const met = new Map<string, Touch[]>()
  for (const [lotId, parts] of upstream.sameWood) {
    const own = new Set(parts.map((part) => part.lotId))
    const touches = metInBaths(spans.get(lotId) ?? [], (id) => soaked.get(id) ?? [], own)
    for (const knife of cut) {
      if (own.has(knife.other_id) || !wasCutBefore(parts, knife)) continue
      touches.push({ id: knife.other_id, route: 'blade' })
    }
    met.set(lotId, touches)
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

type SameKnife = { lot_id: string; other_id: string; met_at: Date }

/** A parent's wood met the other lot only if it did so before the part was taken from it. */
function wasCutBefore(parts: SameWood[], knife: SameKnife): boolean {
  return parts.some((part) => part.lotId === knife.lot_id && knife.met_at.getTime() < part.untilAt)
}

/**
 * Which other lots the knife cut, up to BLADE_CARRIES_HOURS before it cut one of these; for each
 * pair the first such moment. Looked up knife by knife and day by day.
 */
async function readSameKnife(db: Database, lotIds: string[]): Promise<SameKnife[]> {
  const rows = await sql<SameKnife>`
    with own as (
      select lot_id, knife_id, min(grafted_at) as first_at, max(grafted_at) as last_at
      from graft where lot_id = any(${lotIds}::uuid[]) and knife_id is not null
      group by lot_id, knife_id, (grafted_at at time zone 'UTC')::date
    )
    select own.lot_id, other.lot_id as other_id, min(greatest(own.first_at, other.grafted_at))
      as met_at
    from own join graft other on other.knife_id = own.knife_id
      and other.grafted_at < own.last_at
      and other.grafted_at > own.first_at
        - ${BLADE_CARRIES_HOURS * MS_PER_HOUR} * interval '1 millisecond'
    where other.lot_id <> own.lot_id
    group by 1, 2`.execute(db)
  return rows.rows
}
