// Lengths of time and the sums of overlapping spans, in epoch milliseconds.

export const MS_PER_MINUTE = 60_000
export const MS_PER_HOUR = 3_600_000
export const MS_PER_DAY = 86_400_000

/** A span of time; `endedAt` is null while it lasts (epoch milliseconds). */
export interface Span {
  readonly beganAt: number
  readonly endedAt: number | null
}

/**
 * How much of the window from `from` to `to` the spans cover, in milliseconds, overlaps counted
 * once. A span that ends before it begins covers nothing.
 */
export function coveredMs(from: number, to: number, spans: readonly Span[]): number {
  const clipped = spans
    .map((span) => [Math.max(span.beganAt, from), Math.min(span.endedAt ?? to, to)] as const)
    .filter(([began, ended]) => ended > began)
    .sort((one, other) => one[0] - other[0])
  let total = 0
  let reached = from
  for (const [began, ended] of clipped) {
    if (ended <= reached) continue
    total += ended - Math.max(began, reached)
    reached = ended
  }
  return total
}

/** The rest of the window: what no span covers, in milliseconds. */
export function uncoveredMs(from: number, to: number, spans: readonly Span[]): number {
  return Math.max(0, to - from) - coveredMs(from, to, spans)
}
