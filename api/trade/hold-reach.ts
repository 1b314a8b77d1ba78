// Which holds reach a lot: by what it came of, and by what it touched.
import { routesOf } from './health-agents.ts'
import type { Route } from './health-agents.ts'
import type { StandingHold } from './lot-facts.ts'
import type { WoodSpan } from './wood-spans.ts'

/** A hold that stands, and what it is on. */
export interface HoldOn {
  readonly holdId: string
  readonly onKind: string
  readonly onId: string
  readonly agent: string | null
}

/** The holds by the id of what they are on. */
export type HoldsOn = ReadonlyMap<string, readonly HoldOn[]>

/** Where each place and each bath is: the id of the place around it. */
export interface Around {
  readonly places: ReadonlyMap<string, string | null>
  readonly tanks: ReadonlyMap<string, string>
}

/** A thing touched, and by which route something could pass. */
export interface Touch {
  readonly id: string
  readonly route: Route
}

/** What is known of a lot that holds could reach. */
export interface Reached {
  readonly lotId: string
  /** Every lot and source that it came of, itself included. */
  readonly cameOf: Iterable<string>
  readonly spans: readonly WoodSpan[]
  /** Other lots that its wood met. */
  readonly met: readonly Touch[]
}

/**
 * Every standing hold that reaches the lot (invariant 8). By lineage: on the lot, on lots and
 * sources upstream, whatever the agent, for every agent travels by grafting. By contact, only by
 * the routes of the held agent (all routes for a hold without agent): on a bath or place that the
 * wood was in, on the tank and the places around; and on whatever the wood that it met came of.
 */
export function holdsReaching(
  lot: Reached,
  holds: HoldsOn,
  around: Around,
  cameOf: (lotId: string) => Iterable<string>,
): StandingHold[] {
  if (holds.size === 0) return []
  const found = new Map<string, StandingHold>()
  for (const id of lot.cameOf) addLineage(found, holds.get(id) ?? [], lot.lotId)
  for (const touch of touchedPlaces(lot.spans, around)) {
    addContact(found, holds.get(touch.id) ?? [], touch.route)
  }
  for (const other of lot.met) {
    for (const id of cameOf(other.id)) addContact(found, holds.get(id) ?? [], other.route)
  }
  return [...found.values()]
}

/** Wood that came into a bath; `beganAt` in epoch milliseconds, for each lot the first time. */
export interface Soaked {
  readonly lotId: string
  readonly beganAt: number
}

/** Other wood that came into the same baths before this wood left them. */
export function metInBaths(
  spans: readonly WoodSpan[],
  soakedIn: (bathId: string) => readonly Soaked[],
  own: ReadonlySet<string>,
): Touch[] {
  const met: Touch[] = []
  for (const span of spans) {
    if (span.kind !== 'bath') continue
    for (const other of soakedIn(span.id)) {
      if (own.has(other.lotId)) continue
      if (span.endedAt !== null && other.beganAt >= span.endedAt) continue
      met.push({ id: other.lotId, route: 'water' })
    }
  }
  return met
}

function addLineage(
  found: Map<string, StandingHold>,
  holds: readonly HoldOn[],
  lotId: string,
): void {
  for (const { holdId, onKind, onId, agent } of holds) {
    if (onKind !== 'lot' && onKind !== 'source') continue
    const isOwn = onKind === 'lot' && onId === lotId
    const relation = isOwn ? 'lot' : onKind === 'lot' ? 'parent_lot' : 'source'
    found.set(holdId, { holdId, relation, subjectId: onId, agentId: agent, route: null })
  }
}

function addContact(
  found: Map<string, StandingHold>,
  holds: readonly HoldOn[],
  route: Route,
): void {
  for (const { holdId, onId, agent } of holds) {
    if (found.has(holdId) || !routesOf(agent).has(route)) continue
    found.set(holdId, { holdId, relation: 'contact', subjectId: onId, agentId: agent, route })
  }
}

/** Baths touch by water; places, those around them and the tanks of baths by place. */
function touchedPlaces(spans: readonly WoodSpan[], around: Around): Touch[] {
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
