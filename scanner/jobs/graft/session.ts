// One stretch of grafting as the phone remembers it, and where it stands by the entries written.
import { z } from 'zod'
import { Account, Id, Name } from '#wire/basics.ts'
import type { Judgement } from '#trade/judge.ts'
import type { Reason } from '#trade/reasons.ts'
import type { RecentEntry } from '../../phone.ts'
import { nextFrom, RowSession, UNDO_LIMIT } from '../row-session.ts'

/** What cannot be read off the entries besides the walk: the wood in hand, and what was read. */
export const GraftSession = RowSession.extend({
  lotId: Id,
  bundleId: Id.nullable(),
  from: Account,
  method: Name,
  tie: Name.nullable(),
  /** Warnings that the person has read and goes on in spite of. */
  accepted: z.array(z.string().max(200)).max(200),
})
export type GraftSession = z.infer<typeof GraftSession>

/** A vine worked, a blade disinfected: what can be undone. */
export interface Work {
  readonly entry: RecentEntry
  readonly what: 'graft' | 'skip' | 'disinfect'
  readonly rowId: string | null
  readonly position: number | null
  readonly budCount: number
}

/** An entry as work in a row, or null for any other entry. */
export function workOf(entry: RecentEntry): Work | null {
  const { kind } = entry.written
  const { body } = entry
  if (kind === 'graft.made' && 'budCount' in body && 'vine' in body && body.vine !== null) {
    const { rowId, position } = body.vine
    return { entry, what: 'graft', rowId, position, budCount: body.budCount }
  }
  if (kind === 'vine.skipped' && 'vine' in body && body.vine !== null) {
    const { rowId, position } = body.vine
    return { entry, what: 'skip', rowId, position, budCount: 0 }
  }
  if (kind === 'tool.disinfected') {
    return { entry, what: 'disinfect', rowId: null, position: null, budCount: 0 }
  }
  return null
}

/** Where a stretch stands. */
export interface Standing {
  /** The position that the walk goes on from, whether or not a vine stands there. */
  readonly from: number
  readonly grafted: number
  /** Those of them in this row. */
  readonly graftedHere: number
  readonly skipped: number
  readonly buds: number
  /** Vines an hour since the last pause; null before there is enough to say. */
  readonly pace: number | null
  /** The last works, newest first, at most {@link UNDO_LIMIT}. */
  readonly last: readonly Work[]
}

/** Works out where the stretch stands from the phone's entries, in any order. */
export function standingOf(session: GraftSession, entries: readonly RecentEntry[]): Standing {
  const works = entries
    .map(workOf)
    .filter((work) => work !== null)
    .filter((work) => work.entry.written.deviceCounter > session.beganCounter)
    .sort((one, other) => other.entry.written.deviceCounter - one.entry.written.deviceCounter)
  const vines = works.filter((work) => work.what !== 'disinfect')
  const grafts = vines.filter((work) => work.what === 'graft')
  return {
    from: nextFrom(
      session,
      vines.map((work) => work.entry),
    ),
    grafted: grafts.length,
    graftedHere: grafts.filter((work) => work.rowId === session.rowId).length,
    skipped: vines.filter((work) => work.what === 'skip').length,
    buds: vines.reduce((sum, work) => sum + work.budCount, 0),
    pace: paceOf(vines.map((work) => Date.parse(work.entry.written.occurredAt))),
    last: works.slice(0, UNDO_LIMIT),
  }
}

/** A longer gap between two vines is a pause, and the pace is taken from after it. */
const PAUSE_MS = 10 * 60_000
/** Vines that the pace looks back on. */
const PACE_VINES = 20

/** Vines an hour from the times at which they were worked (epoch milliseconds, any order). */
export function paceOf(times: readonly number[]): number | null {
  const newestFirst = [...times].sort((one, other) => other - one).slice(0, PACE_VINES + 1)
  let counted = 0
  for (const [nr, time] of newestFirst.entries()) {
    const before = newestFirst[nr + 1]
    if (before === undefined || time - before > PAUSE_MS) break
    counted = nr + 1
  }
  const [newest] = newestFirst
  const oldest = newestFirst[counted]
  if (counted < 2 || newest === undefined || oldest === undefined || newest <= oldest) return null
  return (counted * 3_600_000) / (newest - oldest)
}

/** The mark by which a warning is remembered as read. */
function markOf(reason: Reason): string {
  return `${reason.verdict} ${reason.code}`
}

/** Warnings of a judgement that the person has not yet read, the worst first. */
export function unreadWarnings(
  judgement: Judgement | null,
  accepted: readonly string[],
): readonly Reason[] {
  if (judgement === null) return []
  const read = new Set(accepted)
  return judgement.reasons.filter(
    (reason) => reason.verdict !== 'ready' && !read.has(markOf(reason)),
  )
}

/** The marks to remember once these warnings are read. */
export function marksOf(reasons: readonly Reason[]): string[] {
  return reasons.map(markOf)
}

/**
 * The same work in another row (or at another end of this one): counts go on, and warnings that
 * were read stay read, but for those about the row's plan.
 */
export function anotherRow(
  session: GraftSession,
  rowId: string,
  walk: Pick<GraftSession, 'start' | 'step' | 'countedFrom'>,
  newestCounter: number,
): GraftSession {
  const accepted = session.accepted.filter((mark) => !/ plan\./.test(mark))
  return { ...session, ...walk, rowId, afterCounter: newestCounter, accepted }
}
