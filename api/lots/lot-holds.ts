// The standing holds that reach lots: on themselves, on what they came of, on what they touched.
import { sql } from 'kysely'
import { MS_PER_HOUR } from '#trade/intervals.ts'
import { routesOf } from '#trade/health-agents.ts'
import type { Route } from '#trade/health-agents.ts'
import type { StandingHold } from '#trade/lot-facts.ts'
import type { Database } from '../../db/connect.ts'
import { walkUp } from './upstream.ts'
import type { SameWood, Upstream } from './upstream.ts'
import type { WoodSpan } from './wood-spans.ts'

/**
 * How long after it cut held wood a knife still carries the agent, in hours, when no disinfection
 * is recorded: a working day (common practice, no source).
 */
export const BLADE_CARRIES_HOURS = 24

type Hold = {
  hold_id: string
  on_kind: string
  on_id: string
  agent: string | null
}

/** Where each place and each bath is: the id of the place around it. */
export type Around = { places: Map<string, string | null>; tanks: Map<string, string> }

/** A thing touched, and by which route something could pass. */
type Touch = { id: string; route: Route }

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
    const ids = upstream.reached.get(lotId) ?? [lotId]
    const found = new Map<string, StandingHold>()
    for (const id of ids) addLineage(found, holds.get(id) ?? [], lotId)
    for (const touch of touchedPlaces(spans.get(lotId) ?? [], around)) {
      addContact(found, holds.get(touch.id) ?? [], touch.route)
    }
    for (const other of met.get(lotId) ?? []) {
      for (const id of origins.get(other.id) ?? []) {
        addContact(found, holds.get(id) ?? [], other.route)
      }
    }
    result.set(lotId, [...found.values()])
  }
  return result
}

/** All standing holds by the id they are on; there are few at any time. */
async function readStanding(db: Database): Promise<Map<string, Hold[]>> {
  const rows = await db
    .selectFrom('standing_hold')
    .select(['hold_id', 'on_kind', 'on_id', 'agent'])
    .orderBy('hold_id')
    .execute()
  const holds = new Map<string, Hold[]>()
  for (const row of rows) holds.set(row.on_id, [...(holds.get(row.on_id) ?? []), row])
  return holds
}

function needs(holds: Map<string, Hold[]>, route: Route): boolean {
  return [...holds.values()].flat().some((hold) => routesOf(hold.agent).has(route))
}

function addLineage(found: Map<string, StandingHold>, holds: Hold[], lotId: string): void {
  for (const hold of holds) {
    if (hold.on_kind !== 'lot' && hold.on_kind !== 'source') continue
    const isOwn = hold.on_kind === 'lot' && hold.on_id === lotId
    const relation = isOwn ? 'lot' : hold.on_kind === 'lot' ? 'parent_lot' : 'source'
    found.set(hold.hold_id, {
      holdId: hold.hold_id,
      relation,
      subjectId: hold.on_id,
      agentId: hold.agent,
      route: null,
    })
  }
}

function addContact(found: Map<string, StandingHold>, holds: Hold[], route: Route): void {
  for (const hold of holds) {
    if (found.has(hold.hold_id) || !routesOf(hold.agent).has(route)) continue
    found.set(hold.hold_id, {
      holdId: hold.hold_id,
      relation: 'contact',
      subjectId: hold.on_id,
      agentId: hold.agent,
      route,
    })
  }
}

/** Baths touch by water; places, those around them and the tanks of baths by place. */
function touchedPlaces(spans: WoodSpan[], around: Around): Touch[] {
  const touches: Touch[] = []
  for (const span of spans) {
    if (span.kind === 'bath') touches.push({ id: span.id, route: 'water' })
    const first = span.kind === 'bath' ? around.tanks.get(span.id) : span.id
    const seen = new Set<string>()
    for (
      let id = first;
      id !== undefined && !seen.has(id);
      id = around.places.get(id) ?? undefined
    ) {
      seen.add(id)
      touches.push({ id, route: 'place' })
      if (span.kind === 'bath') touches.push({ id, route: 'water' })
    }
  }
  return touches
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
    const touches: Touch[] = []
    for (const span of spans.get(lotId) ?? []) {
      if (span.kind !== 'bath') continue
      for (const other of soaked.get(span.id) ?? []) {
        if (own.has(other.lot_id)) continue
        if (span.endedAt !== null && other.began_at.getTime() >= span.endedAt) continue
        touches.push({ id: other.lot_id, route: 'water' })
      }
    }
    for (const knife of cut) {
      if (own.has(knife.other_id) || !wasCutBefore(parts, knife)) continue
      touches.push({ id: knife.other_id, route: 'blade' })
    }
    met.set(lotId, touches)
  }
  return met
}

type Soaked = { bath_id: string; lot_id: string; began_at: Date }

/** Which lots came into which bath, and when first. */
async function readSoaked(db: Database, bathIds: string[]): Promise<Map<string, Soaked[]>> {
  if (bathIds.length === 0) return new Map()
  const rows = await sql<Soaked>`
    select account_id as bath_id, lot_id, min(occurred_at) as began_at from movement
    where account_id = any(${bathIds}::uuid[]) and account_kind = 'bath' and count > 0
    group by 1, 2 order by 1, 2`.execute(db)
  const soaked = new Map<string, Soaked[]>()
  for (const row of rows.rows) soaked.set(row.bath_id, [...(soaked.get(row.bath_id) ?? []), row])
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
