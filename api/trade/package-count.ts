// The legal counts of pieces in one package or bundle, given as advice and never as a bar.

/** The rows of the table of package counts; `nursery_cutting` is blind wood for rooting. */
export type PackageKind =
  | 'grafted_vine'
  | 'rooted_vine'
  | 'scion_five_eyes'
  | 'scion_one_eye'
  | 'rootstock_cutting'
  | 'nursery_cutting'

/** One row of the table: counts that stand by themselves, and a step whose multiples stand. */
export interface PackageRule {
  /** Counts listed by themselves, smallest first, in pieces. */
  listedCounts: readonly number[]
  /** Multiples of this stand too, in pieces; null where only the listed counts do. */
  stepCount: number | null
  /** Most pieces in one package. */
  maximumCount: number
}

/** Where the table comes from. */
export const PACKAGE_COUNT_SOURCE =
  'RebPflV 1986 Anlage 3 (BGBl. I 2006 p. 1442), which transposes ' +
  'Directive 68/193/EEC Annex III'

/** RebPflV 1986 Anlage 3, transposing Directive 68/193/EEC Annex III. */
export const PACKAGE_RULES: Readonly<Record<PackageKind, PackageRule>> = {
  grafted_vine: { listedCounts: [25, 50], stepCount: 100, maximumCount: 500 },
  rooted_vine: { listedCounts: [50], stepCount: 100, maximumCount: 500 },
  scion_five_eyes: { listedCounts: [100, 200], stepCount: null, maximumCount: 200 },
  scion_one_eye: { listedCounts: [], stepCount: 500, maximumCount: 5000 },
  rootstock_cutting: { listedCounts: [], stepCount: 100, maximumCount: 1000 },
  nursery_cutting: { listedCounts: [], stepCount: 100, maximumCount: 500 },
}

/** What the table says about one package. */
export interface PackageCountAdvice {
  /**
   * `listed`: the count is in the table. `small_quantity`: below the smallest listed count, which
   * item 2.1 of the annex allows where it is needed. `between_counts`: not in the table.
   * `over_maximum`: more than one package may hold.
   */
  standing: 'listed' | 'small_quantity' | 'between_counts' | 'over_maximum'
  /** The nearest listed count below or equal, in pieces; null when there is none. */
  countBelow: number | null
  /** The nearest listed count above or equal, in pieces; null when there is none. */
  countAbove: number | null
  /** What to tell the person; null when the count is listed. */
  warning: string | null
}

/**
 * Compares the pieces in one package with the legal counts.
 * @param pieceCount whole pieces in the package, at least 1
 * @throws RangeError when pieceCount is not a whole number of at least 1
 */
export function advisePackageCount(kind: PackageKind, pieceCount: number): PackageCountAdvice {
  if (!Number.isSafeInteger(pieceCount) || pieceCount < 1) {
    throw new RangeError(`a package holds a whole number of pieces from 1 up, not ${pieceCount}`)
  }
  const counts = allowedCounts(kind)
  const countBelow = counts.filter((count) => count <= pieceCount).at(-1) ?? null
  const countAbove = counts.find((count) => count >= pieceCount) ?? null
  const standing =
    countBelow === pieceCount
      ? 'listed'
      : countAbove === null
        ? 'over_maximum'
        : countBelow === null
          ? 'small_quantity'
          : 'between_counts'
  const advice = { standing, countBelow, countAbove } as const
  return { ...advice, warning: warningFor(kind, pieceCount, advice) }
}

/** Every count that the table lists for one kind, smallest first, in pieces. */
export function allowedCounts(kind: PackageKind): number[] {
  const { listedCounts, stepCount, maximumCount } = PACKAGE_RULES[kind]
  const counts = new Set(listedCounts)
  if (stepCount !== null) {
    for (let count = stepCount; count <= maximumCount; count += stepCount) counts.add(count)
  }
  return [...counts].sort((a, b) => a - b)
}

/** The row of the table in words, for a page or a form. */
export function describePackageRule(kind: PackageKind): string {
  const { listedCounts, stepCount, maximumCount } = PACKAGE_RULES[kind]
  const parts = listedCounts.map(String)
  if (stepCount !== null) parts.push(`a multiple of ${stepCount}`)
  return `${parts.join(' or ')}, at most ${maximumCount}`
}

/**
 * The table's row for scion wood by its usable eyes per piece, or null where the table has none
 * (two to four eyes).
 */
export function scionPackageKind(usableEyes: number): PackageKind | null {
  if (usableEyes >= 5) return 'scion_five_eyes'
  return usableEyes === 1 ? 'scion_one_eye' : null
}

function warningFor(
  kind: PackageKind,
  pieceCount: number,
  advice: Omit<PackageCountAdvice, 'warning'>,
): string | null {
  const rule = `The listed counts are ${describePackageRule(kind)} (${PACKAGE_COUNT_SOURCE}).`
  switch (advice.standing) {
    case 'listed':
      return null
    case 'small_quantity':
      return `${pieceCount} pieces are a small quantity, allowed only where it is needed. ${rule}`
    case 'between_counts':
      return (
        `${pieceCount} pieces are no listed count; the nearest are ${advice.countBelow} ` +
        `and ${advice.countAbove}. ${rule}`
      )
    case 'over_maximum':
      return `${pieceCount} pieces are more than one package may hold. ${rule}`
  }
}
