// How many vines and buds took, counted with the ones nobody has looked at shown apart.
import { normalQuantile } from './normal-quantile.ts'
import { vineStack } from './vine-stack.ts'
import type { GraftAttempt, JudgedAttempt } from './vine-stack.ts'

/** Limits of a share, from 0 to 1. */
export interface ShareInterval {
  readonly low: number
  readonly high: number
}

/** Counts of vines or buds. `checked` is `growing + callused + failed`. */
export interface TakeCount {
  /** Numerator of take. */
  readonly growing: number
  /** Alive but still; in the denominator, not yet in the numerator. */
  readonly callused: number
  readonly failed: number
  /** Denominator of take. */
  readonly checked: number
  /** Set but not looked at, and so in neither. */
  readonly notChecked: number
  /** `growing / checked`, or null when none was checked. */
  readonly share: number | null
  /** Take if every one not looked at had failed, and if every one had grown; null for none set. */
  readonly possible: ShareInterval | null
}

export interface Take {
  readonly vines: TakeCount
  readonly buds: TakeCount
  /** Grafts whose check counts more buds than were set: left out of `buds`, to be answered. */
  readonly disagreeingGraftIds: readonly string[]
}

/**
 * Counts take over vines that were grafted; vines without an attempt are not counted. A vine is
 * growing when any of its attempts has a growing bud, and failed only when every bud of every
 * attempt was seen to have failed. Grafts removed later count by their last check.
 */
export function countTake(vines: readonly (readonly GraftAttempt[])[]): Take {
  const vineTally = newTally()
  const budTally = newTally()
  const disagreeingGraftIds: string[] = []
  for (const grafts of vines) {
    if (grafts.length === 0) continue
    // Removal says nothing of take: the last look at the graft does.
    const attempts = vineStack([], grafts.map(asIfNotRemoved)).attempts
    vineTally[standingOf(attempts)] += 1
    for (const attempt of attempts) {
      if (!addBuds(budTally, attempt)) disagreeingGraftIds.push(attempt.graftId)
    }
  }
  return { vines: finished(vineTally), buds: finished(budTally), disagreeingGraftIds }
}

/**
 * Compares take with a share that it should reach: `sufficient` or `insufficient` when the whole
 * interval lies on one side, `undecided` when too few were checked to say, `unknown` for none.
 */
export function takeAgainst(
  count: Pick<TakeCount, 'growing' | 'checked'>,
  wantedShare: number,
  confidence = 0.95,
): 'sufficient' | 'insufficient' | 'undecided' | 'unknown' {
  if (count.checked === 0) return 'unknown'
  const { low, high } = wilsonInterval(count.growing, count.checked, confidence)
  if (low >= wantedShare) return 'sufficient'
  return high < wantedShare ? 'insufficient' : 'undecided'
}

/**
 * The Wilson score interval of a share, without continuity correction: E. B. Wilson, JASA
 * 22:209-212, 1927; method 3 of R. G. Newcombe, Statistics in Medicine 17:857-872, 1998. It says
 * how sure a share is if the buds were independent; those on one trunk are not, so it is a little
 * too narrow.
 *
 * @param x whole number that took
 * @param n whole number looked at; for 0 the interval is 0 to 1
 * @param confidence between 0 and 1, such as 0.95
 * @throws RangeError when x or n is no count, x exceeds n, or the confidence is out of range
 */
export function wilsonInterval(x: number, n: number, confidence = 0.95): ShareInterval {
  if (!Number.isSafeInteger(n) || n < 0 || !Number.isSafeInteger(x) || x < 0 || x > n) {
    throw new RangeError(`a share needs whole numbers 0 <= x <= n, not ${x} of ${n}`)
  }
  if (!(confidence > 0 && confidence < 1)) {
    throw new RangeError(`confidence must lie between 0 and 1, not ${confidence}`)
  }
  if (n === 0) return { low: 0, high: 1 }
  const z = normalQuantile(0.5 + confidence / 2)
  const centre = x + (z * z) / 2
  const spread = z * Math.sqrt((x * (n - x)) / n + (z * z) / 4)
  return {
    low: x === 0 ? 0 : (centre - spread) / (n + z * z),
    high: x === n ? 1 : (centre + spread) / (n + z * z),
  }
}

type Tally = Record<'growing' | 'callused' | 'failed' | 'notChecked', number>

function newTally(): Tally {
  return { growing: 0, callused: 0, failed: 0, notChecked: 0 }
}

function asIfNotRemoved(attempt: GraftAttempt): GraftAttempt {
  return { ...attempt, removedAt: null }
}

function standingOf(attempts: readonly JudgedAttempt[]): keyof Tally {
  const has = (outcome: string): boolean => attempts.some((one) => one.outcome === outcome)
  if (has('growing')) return 'growing'
  if (has('callused')) return 'callused'
  return has('not checked') ? 'notChecked' : 'failed'
}

/** False when the check counts more buds than were set. */
function addBuds(tally: Tally, attempt: JudgedAttempt): boolean {
  const { growing, callused, failed } = attempt.latestCheck ?? newTally()
  const notChecked = attempt.budCount - growing - callused - failed
  if (notChecked < 0) return false
  tally.growing += growing
  tally.callused += callused
  tally.failed += failed
  tally.notChecked += notChecked
  return true
}

function finished(tally: Tally): TakeCount {
  const checked = tally.growing + tally.callused + tally.failed
  const set = checked + tally.notChecked
  return {
    ...tally,
    checked,
    share: checked === 0 ? null : tally.growing / checked,
    possible:
      set === 0
        ? null
        : { low: tally.growing / set, high: (tally.growing + tally.notChecked) / set },
  }
}
