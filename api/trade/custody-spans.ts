// Finds in the steps of one lot where its custody is not told, or is told of two places at once.

/** One leg of a step: wood that entered (above 0) or left an account, in bud equivalents. */
export type CustodyLeg = {
  entryId: string
  accountKind: string
  accountId: string
  atMs: number
  budEquivalents: number
}

/** Nobody recorded where this much came from, or went to; `untilMs` null: to this day. */
export type CustodyGap = {
  entryId: string
  how: 'came from nowhere told' | 'went to nowhere told'
  atMs: number
  budEquivalents: number
}

/**
 * For this span an account had given out more than had come in: the records have that wood in two
 * places at once. `untilMs` is null when it stands so to this day.
 */
export type CustodyOverlap = {
  accountKind: string
  accountId: string
  fromMs: number
  untilMs: number | null
  /** The most that was short in the span. */
  budEquivalents: number
}

const HOLDING = ['place', 'bath', 'holder']

/** Reads the legs of one lot, in whatever order; those of one moment count together. */
export function custodySpans(legs: readonly CustodyLeg[]): {
  gaps: CustodyGap[]
  overlaps: CustodyOverlap[]
} {
  const inTime = [...legs].sort((one, other) => one.atMs - other.atMs)
  const gaps = inTime
    .filter(({ accountKind }) => accountKind === 'unknown')
    .map(({ entryId, atMs, budEquivalents }): CustodyGap => {
      const how = budEquivalents < 0 ? 'came from nowhere told' : 'went to nowhere told'
      return { entryId, how, atMs, budEquivalents: Math.abs(budEquivalents) }
    })
  const accounts = new Map<string, CustodyLeg[]>()
  for (const leg of inTime) {
    if (!HOLDING.includes(leg.accountKind)) continue
    const key = `${leg.accountKind} ${leg.accountId}`
    accounts.set(key, [...(accounts.get(key) ?? []), leg])
  }
  return { gaps, overlaps: [...accounts.values()].flatMap(overlapsOf) }
}

function overlapsOf(legs: readonly CustodyLeg[]): CustodyOverlap[] {
  const found: CustodyOverlap[] = []
  let held = 0
  let open: CustodyOverlap | null = null
  for (const [place, leg] of legs.entries()) {
    held += leg.budEquivalents
    if (legs[place + 1]?.atMs === leg.atMs) continue
    if (held < 0) {
      const { accountKind, accountId, atMs } = leg
      open ??= { accountKind, accountId, fromMs: atMs, untilMs: null, budEquivalents: 0 }
      open.budEquivalents = Math.max(open.budEquivalents, -held)
    } else if (open !== null) {
      found.push({ ...open, untilMs: leg.atMs })
      open = null
    }
  }
  return open === null ? found : [...found, open]
}
