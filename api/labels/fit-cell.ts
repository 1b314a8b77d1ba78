// Fits the text between two symbols of a field tag: the code, short lines, and the reprint mark.
import {
  CODE_MAXIMUM_PT,
  CODE_MINIMUM_PT,
  CODE_READABLE_PT,
  codeBlock,
  fitCode,
  type FittedCode,
} from './fit-code.ts'
import {
  baselineMm,
  fitParagraphs,
  forceParagraphs,
  linesHeightMm,
  sizesDown,
  wrapParagraphs,
  type FittedText,
  type Paragraph,
} from './fit-text.ts'
import type { TextMeasure } from './fonts.ts'
import type { TextBlock } from './layout-types.ts'

/** How much a cell may ask of the reader's eyes; `cut` takes what fits and tells the rest. */
export type CellGrade = 'comfortable' | 'tight' | 'cut'

/** What stands in one cell. */
export interface TagCell {
  code: string | null
  lines: string[]
  /** The mark of a further print of the same code, R2 and so on. */
  mark: string | null
}

/** Font sizes of short lines, in points. Common practice, no source. */
export const LINE_SIZES_PT = { maximum: 10, comfortable: 7, minimum: 5 }
const MARK_PT = 6
/** A code beside lines is this much larger than they are, where there is room. */
const CODE_TO_LINE_RATIO = 1.4
/** White between the code and the lines, in mm. */
const STACK_GAP_MM = 0.8

interface Box {
  widthMm: number
  heightMm: number
}

/** The cell's blocks in the middle of the box's height, or null when they do not fit this grade. */
export function fitTagCell(
  cell: TagCell,
  box: Box,
  grade: CellGrade,
  measure: TextMeasure,
): { texts: TextBlock[]; overflow: string[] } | null {
  const markMm = cell.mark === null ? 0 : linesHeightMm(1, MARK_PT)
  const room = { widthMm: box.widthMm, heightMm: box.heightMm - markMm }
  const parts =
    grade === 'cut' ? cutParts(cell, room, measure) : fitParts(cell, room, grade, measure)
  if (parts === null) return null
  if (cell.mark !== null && measure.widthMm(cell.mark, 'bold', MARK_PT) > box.widthMm) {
    if (grade !== 'cut') return null
    return { texts: stack(parts, null, box, measure), overflow: [...parts.overflow, cell.mark] }
  }
  return { texts: stack(parts, cell.mark, box, measure), overflow: parts.overflow }
}

interface Parts {
  code: FittedCode | null
  lines: FittedText | null
  overflow: string[]
}

function fitParts(
  cell: TagCell,
  room: Box,
  grade: 'comfortable' | 'tight',
  measure: TextMeasure,
): Parts | null {
  const comfortable = grade === 'comfortable'
  const codeMinimumPt = comfortable ? CODE_READABLE_PT : CODE_MINIMUM_PT
  const lineMinimumPt = comfortable ? LINE_SIZES_PT.comfortable : LINE_SIZES_PT.minimum
  if (cell.lines.length === 0) {
    const sizes = { maximumPt: CODE_MAXIMUM_PT, minimumPt: codeMinimumPt }
    const code = fitCode(cell.code ?? '', room, sizes, measure)
    return code === null ? null : { code, lines: null, overflow: [] }
  }
  const paragraphs = paragraphsOf(cell)
  if (cell.code === null) {
    const sizes = { maximumPt: LINE_SIZES_PT.maximum, minimumPt: lineMinimumPt }
    const lines = fitParagraphs(paragraphs, room, sizes, measure)
    return lines === null ? null : { code: null, lines, overflow: [] }
  }
  for (const sizePt of sizesDown(LINE_SIZES_PT.maximum, lineMinimumPt)) {
    const lines = wrapParagraphs(paragraphs, sizePt, room.widthMm, measure, false)
    if (lines === null) continue
    const codeRoom = {
      widthMm: room.widthMm,
      heightMm: room.heightMm - linesHeightMm(lines.length, sizePt) - STACK_GAP_MM,
    }
    const wantedPt = comfortable
      ? Math.max(codeMinimumPt, sizePt * CODE_TO_LINE_RATIO)
      : codeMinimumPt
    const sizes = { maximumPt: CODE_MAXIMUM_PT, minimumPt: wantedPt }
    const code = fitCode(cell.code, codeRoom, sizes, measure)
    if (code !== null) return { code, lines: { sizePt, lines, cut: [] }, overflow: [] }
  }
  return null
}

/** The code first, as it is what the tag is for; then as much of the lines as there is room for. */
function cutParts(cell: TagCell, room: Box, measure: TextMeasure): Parts {
  const sizes = { maximumPt: CODE_READABLE_PT, minimumPt: CODE_MINIMUM_PT }
  const code = cell.code === null ? null : fitCode(cell.code, room, sizes, measure)
  const overflow = cell.code !== null && code === null ? [cell.code] : []
  if (cell.lines.length === 0) return { code, lines: null, overflow }
  const left = {
    widthMm: room.widthMm,
    heightMm: room.heightMm - (code === null ? 0 : code.heightMm + STACK_GAP_MM),
  }
  const lines = forceParagraphs(paragraphsOf(cell), left, LINE_SIZES_PT.minimum, measure)
  for (const index of lines.cut) overflow.push(cell.lines[index] ?? '')
  return { code, lines, overflow }
}

/** The first line, usually the lot, stands out. */
function paragraphsOf(cell: TagCell): Paragraph[] {
  return cell.lines.map((text, index) => ({ text, font: index === 0 ? 'bold' : 'text' }))
}

function stack(parts: Parts, mark: string | null, box: Box, measure: TextMeasure): TextBlock[] {
  const blocks: TextBlock[] = []
  const { code, lines } = parts
  const centred = lines === null
  let yMm = 0
  if (code !== null) {
    blocks.push(codeBlock(code, centred ? (box.widthMm - code.widthMm) / 2 : 0, yMm))
    yMm += code.heightMm
  }
  if (lines !== null && lines.lines.length > 0) {
    if (code !== null) yMm += STACK_GAP_MM
    const heightMm = linesHeightMm(lines.lines.length, lines.sizePt)
    blocks.push({
      role: 'lines',
      xMm: 0,
      yMm,
      widthMm: box.widthMm,
      heightMm,
      lines: lines.lines.map(({ text, font }, index) => ({
        text,
        font,
        sizePt: lines.sizePt,
        xMm: 0,
        baselineMm: baselineMm(index, lines.sizePt),
      })),
    })
    yMm += heightMm
  }
  if (mark !== null) {
    const widthMm = measure.widthMm(mark, 'bold', MARK_PT)
    blocks.push(markBlock(mark, centred ? (box.widthMm - widthMm) / 2 : 0, yMm, widthMm))
    yMm += linesHeightMm(1, MARK_PT)
  }
  const downMm = Math.max(0, (box.heightMm - yMm) / 2)
  return blocks.map((block) => ({ ...block, yMm: block.yMm + downMm }))
}

/** The block of a reprint mark with its upper left corner at a place, in mm. */
export function markBlock(mark: string, xMm: number, yMm: number, widthMm: number): TextBlock {
  const line = { text: mark, font: 'bold', sizePt: MARK_PT, xMm: 0 } as const
  return {
    role: 'mark',
    xMm,
    yMm,
    widthMm,
    heightMm: linesHeightMm(1, MARK_PT),
    lines: [{ ...line, baselineMm: baselineMm(0, MARK_PT) }],
  }
}

/** The room that a reprint mark takes, in mm. */
export function markSize(
  mark: string | null,
  measure: TextMeasure,
): { widthMm: number; heightMm: number } {
  if (mark === null) return { widthMm: 0, heightMm: 0 }
  return { widthMm: measure.widthMm(mark, 'bold', MARK_PT), heightMm: linesHeightMm(1, MARK_PT) }
}
