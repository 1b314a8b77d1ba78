// A walk along a row as the phone remembers it, so that a killed tab takes up where it was.
import { z } from 'zod'
import { Id } from '#wire/basics.ts'
import type { RecentEntry } from '../phone.ts'

/** Most entries that can be undone from the row. */
export const UNDO_LIMIT = 10
/** Entries read back when the work is taken up again. */
export const RECENT_LIMIT = 600

const counter = z.int().min(0)

/** Where the walk began; where it stands is worked out from the entries written since. */
export const RowSession = z.strictObject({
  rowId: Id,
  start: z.int().min(1),
  step: z.union([z.literal(1), z.literal(-1)]),
  countedFrom: z.enum(['head', 'far']),
  /** Entries of the phone up to this one do not move the walk. */
  afterCounter: counter,
  /** Entries up to this one are not of this round of work. */
  beganCounter: counter,
  /** What was taken back in this round, newest first. */
  undone: z.array(z.strictObject({ counter, text: z.string().max(200) })).max(UNDO_LIMIT),
})
export type RowSession = z.infer<typeof RowSession>

/** The vine that an entry speaks of, or null. */
export function vineOf({ body }: RecentEntry): { rowId: string; position: number } | null {
  return 'vine' in body && body.vine !== null ? body.vine : null
}

/** The entries of this round of these kinds, newest first. */
export function worksOf(
  session: Pick<RowSession, 'beganCounter'>,
  entries: readonly RecentEntry[],
  kinds: readonly string[],
): RecentEntry[] {
  return entries
    .filter(({ written }) => kinds.includes(written.kind))
    .filter(({ written }) => written.deviceCounter > session.beganCounter)
    .sort((one, other) => other.written.deviceCounter - one.written.deviceCounter)
}

/** The position that the walk goes on from; `works` are newest first. */
export function nextFrom(
  session: Pick<RowSession, 'rowId' | 'start' | 'step' | 'afterCounter'>,
  works: readonly RecentEntry[],
): number {
  for (const work of works) {
    const vine = vineOf(work)
    if (vine?.rowId !== session.rowId) continue
    if (work.written.deviceCounter > session.afterCounter) return vine.position + session.step
  }
  return session.start
}

/** A round of work in a row, begun now. */
export function newRound(
  rowId: string,
  walk: Pick<RowSession, 'start' | 'step' | 'countedFrom'>,
  newestCounter: number,
): RowSession {
  return { rowId, ...walk, afterCounter: newestCounter, beganCounter: newestCounter, undone: [] }
}

/** What was undone is kept in sight, newest first. */
export function withUndone<S extends RowSession>(
  session: S,
  undone: RowSession['undone'][number],
): S {
  return { ...session, undone: [undone, ...session.undone].slice(0, UNDO_LIMIT) }
}
