// Technical purity of a lot: whether the share of defective pieces stays within the legal limit.

/** Most defective pieces, in hundredths of all pieces, that a lot may have. */
export const DEFECTIVE_LIMIT_PERCENT = 4

/** Where the limit and the list of defects come from. */
export const TECHNICAL_PURITY_SOURCE =
  'at least 96 % by count: RebPflV 1986 Anlage 2 §1.2; French arrêté on vine propagating ' +
  'material, annex, which also counts wood that dried out and was soaked afterwards'

/**
 * The defects of the French arrêté's annex. `dried_then_soaked` is wood that dried out and was
 * soaked afterwards: the water does not make it sound, so it counts like dried wood.
 */
export const DEFECTS = [
  'dried',
  'dried_then_soaked',
  'rotted',
  'twisted',
  'injured',
  'crushed',
  'broken',
  'hail_damaged',
  'frost_damaged',
  'off_size',
] as const
export type Defect = (typeof DEFECTS)[number]

/** What a count of defective pieces comes to. */
export interface TechnicalPurity {
  pieceCount: number
  defectiveCount: number
  /** Defective pieces as a share of all, in per cent, not rounded. */
  defectivePercent: number
  /** True when at most DEFECTIVE_LIMIT_PERCENT of the pieces are defective. */
  withinLimit: boolean
  /** Most defective pieces that this many pieces may have. */
  defectiveLimitCount: number
}

/**
 * Works out technical purity from a count by defect. A piece with two defects is counted once,
 * under the worse.
 * @param pieceCount whole pieces looked at, at least 1
 * @param defectCounts whole pieces per defect
 * @throws RangeError for a count that is no whole number, or more defects than pieces
 */
export function technicalPurity(
  pieceCount: number,
  defectCounts: Partial<Record<Defect, number>>,
): TechnicalPurity {
  if (!Number.isSafeInteger(pieceCount) || pieceCount < 1) {
    throw new RangeError(`a purity check needs at least 1 whole piece, not ${pieceCount}`)
  }
  let defectiveCount = 0
  for (const defect of DEFECTS) {
    const count = defectCounts[defect] ?? 0
    if (!Number.isSafeInteger(count) || count < 0) {
      throw new RangeError(
        `the count of "${defect}" must be a whole number from 0 up, not ${count}`,
      )
    }
    defectiveCount += count
  }
  if (defectiveCount > pieceCount) {
    throw new RangeError(
      `${defectiveCount} defects in ${pieceCount} pieces: count a piece with two defects once`,
    )
  }
  return {
    pieceCount,
    defectiveCount,
    defectivePercent: (defectiveCount / pieceCount) * 100,
    // Whole numbers on both sides, so that exactly 4 % is never lost to rounding.
    withinLimit: defectiveCount * 100 <= pieceCount * DEFECTIVE_LIMIT_PERCENT,
    defectiveLimitCount: Math.floor((pieceCount * DEFECTIVE_LIMIT_PERCENT) / 100),
  }
}
