// Exact limits of a share, and how many buds a claim about living buds needs.
import betaQuantile from '@stdlib/stats-base-dists-beta-quantile'
import { normalQuantile } from './normal-quantile.ts'
import type { ShareInterval } from './take.ts'

/** No sample is larger; a claim that would need more is one that no sample supports. */
export const SAMPLE_LIMIT = 10_000

/**
 * The exact interval of a share: C. J. Clopper and E. S. Pearson, Biometrika 26:404-413, 1934, by
 * quantiles of the beta distribution. It never covers less often than it says; Wilson's
 * (`wilsonInterval`) is narrower and covers as often as it says on average.
 *
 * @param x whole number alive
 * @param n whole number looked at; for 0 the interval is 0 to 1
 * @param confidence between 0 and 1, such as 0.95
 * @throws RangeError when x or n is no count, x exceeds n, or the confidence is out of range
 */
export function exactInterval(x: number, n: number, confidence = 0.95): ShareInterval {
  if (!Number.isSafeInteger(n) || n < 0 || !Number.isSafeInteger(x) || x < 0 || x > n) {
    throw new RangeError(`a share needs whole numbers 0 <= x <= n, not ${x} of ${n}`)
  }
  if (!(confidence > 0 && confidence < 1)) {
    throw new RangeError(`confidence must lie between 0 and 1, not ${confidence}`)
  }
  const tail = (1 - confidence) / 2
  return {
    low: x === 0 ? 0 : betaQuantile(tail, x, n - x + 1),
    high: x === n ? 1 : betaQuantile(1 - tail, x + 1, n - x),
  }
}

/**
 * The fewest buds for which a live share like the one seen would show that at least `wantedShare`
 * live, by the lower exact limit; the count alive is rounded down. Null when the share seen does
 * not exceed the wanted one, or SAMPLE_LIMIT would not do.
 *
 * @param seenShare from 0 to 1, of the check that was too small
 * @param wantedShare above 0 and below 1
 * @param confidence two-sided, such as 0.95
 */
export function sampleForClaim(
  seenShare: number,
  wantedShare: number,
  confidence = 0.95,
): number | null {
  if (!(seenShare > wantedShare)) return null
  const shows = (n: number): boolean =>
    exactInterval(Math.floor(seenShare * n + 1e-9), n, confidence).low >= wantedShare
  // Wilson's limit reaches the wanted share at this size, and the exact one never much sooner;
  // rounding down makes single sizes fail between ones that do, so each is tried in turn.
  const z = normalQuantile(0.5 + confidence / 2)
  const wilson = (z * z * wantedShare * (1 - wantedShare)) / (seenShare - wantedShare) ** 2
  for (let n = Math.max(1, Math.floor(0.8 * wilson)); n <= SAMPLE_LIMIT; n += 1) {
    if (shows(n)) return n
  }
  return null
}
