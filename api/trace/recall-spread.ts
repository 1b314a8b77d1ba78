// Follows a health agent from where it was found, by its own routes alone and only onwards in time.
import type { Route } from '#trade/health-agents.ts'
import type { Database } from '../../db/connect.ts'
import { BladeBook, CUT_LIMIT } from './recall-blade.ts'
import { bornOf, sharedAccount } from './recall-steps.ts'

/** The start of all time for a recall: with no clean test before, everything counts. */
export const SINCE_EVER = new Date('1900-01-01T00:00:00Z')

/** Rounds after which a recall stops and says that it may be incomplete. */
export const ROUND_LIMIT = 40

/** A lot or source that the agent may have reached: from when on, by which route, and from what. */
export type ReachedThing = { id: string; from: Date; route: Route; via: string | null }

/** A vine on which the agent was found, and since when it may have been there. */
export type FoundVine = { row_id: string; position: number; at: Date }

/** Everything that the agent may have reached. */
export type Spread = {
  things: Map<string, ReachedThing>
  /** The vines that the recall starts from. Any other is reached by wood or by its trunk. */
  vines: readonly FoundVine[]
  /** The grafts of all reached wood where blades were followed to the end; else null. */
  blades: BladeBook | null
  /** False when rounds or memory ran out before nothing new was found. */
  isComplete: boolean
}

/**
 * Everything that can have come of, or touched, the `start` things since each one's `from`. A
 * thing counts from the moment it was reached: wood cut before is not drawn in. Each round follows
 * every route once from what the last one found; the earliest moment for each thing stands, so
 * that the order of steps does not matter. A vine that a foul blade cut is reached by the buds that
 * were set in that cut, for their lot counts as reached from then on.
 *
 * @param cutLimit cuts by blades after which the spread is incomplete
 */
export async function followAgent(
  db: Database,
  routes: ReadonlySet<Route>,
  start: { things: readonly { id: string; from: Date }[]; vines: readonly FoundVine[] },
  cutLimit = CUT_LIMIT,
): Promise<Spread> {
  const things = new Map<string, ReachedThing>()
  let fresh = addThings(
    things,
    start.things.map(({ id, from }) => ({ id, from, route: 'graft' as const, via: null })),
  )
  let freshVines = start.vines
  const blades = new BladeBook(db, earliestOf(start), cutLimit)
  let rounds = 0
  while (fresh.length + freshVines.length > 0 && rounds < ROUND_LIMIT) {
    rounds += 1
    const found = await bornOf(db, fresh, freshVines)
    if (routes.has('water')) found.push(...(await sharedAccount(db, fresh, 'bath', 'water')))
    if (routes.has('place')) found.push(...(await sharedAccount(db, fresh, 'place', 'place')))
    if (routes.has('blade')) found.push(...(await blades.contacts(things, fresh, freshVines)))
    freshVines = []
    fresh = addThings(things, found)
  }
  const isComplete = fresh.length === 0 && !blades.isCutShort
  const followed = isComplete && routes.has('blade') ? blades : null
  return { things, vines: start.vines, blades: followed, isComplete }
}

/** Nothing is reached before the first of what the recall starts from. */
function earliestOf(start: Parameters<typeof followAgent>[2]): Date {
  const times = [...start.things.map(({ from }) => from), ...start.vines.map(({ at }) => at)]
  return new Date(Math.min(...times.map((time) => time.getTime())))
}

/** Keeps the earliest moment of each; returns what is new or earlier than before. */
function addThings(known: Map<string, ReachedThing>, found: ReachedThing[]): ReachedThing[] {
  const fresh = new Map<string, ReachedThing>()
  for (const thing of found) {
    const before = known.get(thing.id)
    if (before !== undefined && before.from <= thing.from) continue
    known.set(thing.id, thing)
    fresh.set(thing.id, thing)
  }
  return [...fresh.values()]
}
