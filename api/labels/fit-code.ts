// Sets the human-readable code as large as its place allows, in one row or one row per group.
import { formatTagCode, tagCodeGroups } from '#trade/tag-code.ts'
import { POINTS_PER_MM, type TextMeasure } from './fonts.ts'
import type { TextBlock } from './layout-types.ts'

/** Size at which a code can be read aloud at arm's length. Common practice, no source. */
export const CODE_READABLE_PT = 10
/** Smallest size at which a code is printed at all. */
export const CODE_MINIMUM_PT = 5
/** Largest size: beyond it the room is better left white. */
export const CODE_MAXIMUM_PT = 26
/** Height of one row of a code, as a share of the font size: capitals only, so little is needed. */
const CODE_ROW_EM = 0.94
/** From the top of a row to its baseline: the row's middle is the capitals' middle. */
const CODE_BASELINE_EM = 0.835

/** A code set in rows. */
export interface FittedCode {
  sizePt: number
  rows: string[]
  widthMm: number
  heightMm: number
}

/** The largest setting of a code in a box, or null when it is below `minimumPt`. */
export function fitCode(
  code: string,
  box: { widthMm: number; heightMm: number },
  sizes: { maximumPt: number; minimumPt: number },
  measure: TextMeasure,
): FittedCode | null {
  let best: FittedCode | null = null
  for (const rows of [[formatTagCode(code)], tagCodeGroups(code)]) {
    const widthAtOnePt = Math.max(...rows.map((row) => measure.widthMm(row, 'code', 1)))
    const heightAtOnePt = (rows.length * CODE_ROW_EM) / POINTS_PER_MM
    const largest = Math.min(
      box.widthMm / widthAtOnePt,
      box.heightMm / heightAtOnePt,
      sizes.maximumPt,
    )
    const sizePt = Math.floor(largest * 4) / 4
    if (sizePt < sizes.minimumPt || (best !== null && sizePt <= best.sizePt)) continue
    best = { sizePt, rows, widthMm: widthAtOnePt * sizePt, heightMm: heightAtOnePt * sizePt }
  }
  return best
}

/** The block of a set code with its upper left corner at a place, in mm. */
export function codeBlock(fitted: FittedCode, xMm: number, yMm: number): TextBlock {
  const { sizePt, rows, widthMm, heightMm } = fitted
  return {
    role: 'code',
    xMm,
    yMm,
    widthMm,
    heightMm,
    lines: rows.map((text, row) => ({
      text,
      font: 'code',
      sizePt,
      xMm: 0,
      baselineMm: ((row * CODE_ROW_EM + CODE_BASELINE_EM) * sizePt) / POINTS_PER_MM,
    })),
  }
}
