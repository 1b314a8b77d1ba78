// Writes many whole numbers as spans, like 1–12, 15, 17–20.

/** Spans that one cell names before the rest is only counted. */
const SPAN_LIMIT = 60

/** The numbers as spans, each once and in order; an empty text for none. */
export function spanText(numbers: readonly number[]): string {
  const spans: { from: number; to: number }[] = []
  for (const number of [...new Set(numbers)].sort((one, other) => one - other)) {
    const last = spans.at(-1)
    if (last !== undefined && number === last.to + 1) last.to = number
    else spans.push({ from: number, to: number })
  }
  const words = spans
    .slice(0, SPAN_LIMIT)
    .map(({ from, to }) => (from === to ? `${from}` : `${from}–${to}`))
  const rest = spans.length - SPAN_LIMIT
  return words.join(', ') + (rest > 0 ? `, and ${rest} more spans` : '')
}
