// How long to wait before the next try: longer each time, and never all phones at once.

/** The first wait, and the longest, in ms. */
const FIRST_MS = 2_000
const LONGEST_MS = 5 * 60_000

/**
 * Milliseconds to wait after `failures` tries in a row that failed (1 or more): a random part
 * between half and all of a time that doubles with each.
 * @param random from 0 to below 1
 * @param askedSeconds what the server asked for; never less than this is waited
 */
export function waitMs(failures: number, random: number, askedSeconds: number | null): number {
  const most = Math.min(LONGEST_MS, FIRST_MS * 2 ** Math.min(failures - 1, 20))
  const own = most / 2 + (random * most) / 2
  return Math.round(Math.max(own, Math.min(askedSeconds ?? 0, 3600) * 1000))
}
