// Fits text into a box: wraps it, shrinks it, and tells what was cut when even that is too little.
import {
  BASELINE_EM,
  LINE_HEIGHT_EM,
  POINTS_PER_MM,
  type FontName,
  type TextMeasure,
} from './fonts.ts'

/** Step between two font sizes that are tried, in points. */
export const SIZE_STEP_PT = 0.5

/** A text that may take several lines. */
export interface Paragraph {
  text: string
  font: FontName
}

/** One line of a paragraph. */
export interface WrappedLine {
  text: string
  font: FontName
  /** Which paragraph it belongs to. */
  paragraph: number
}

/** Paragraphs set into a box. */
export interface FittedText {
  sizePt: number
  lines: WrappedLine[]
  /** Numbers of the paragraphs of which something was left out; empty when all is there. */
  cut: number[]
}

/** Height of so many lines of words, in mm. */
export function linesHeightMm(lineCount: number, sizePt: number): number {
  return (lineCount * LINE_HEIGHT_EM * sizePt) / POINTS_PER_MM
}

/** From the top of a box to the baseline of its line with this number from 0, in mm. */
export function baselineMm(lineIndex: number, sizePt: number): number {
  return ((lineIndex * LINE_HEIGHT_EM + BASELINE_EM) * sizePt) / POINTS_PER_MM
}

/** The sizes between two, largest first, in points. */
export function sizesDown(maximumPt: number, minimumPt: number): number[] {
  const steps = Math.max(0, Math.floor((maximumPt - minimumPt) / SIZE_STEP_PT))
  return Array.from({ length: steps + 1 }, (_, step) => maximumPt - step * SIZE_STEP_PT)
}

/**
 * Sets paragraphs at the largest size that fits the box with no word broken, or null when none
 * does. Sizes in points, lengths in mm.
 */
export function fitParagraphs(
  paragraphs: readonly Paragraph[],
  box: { widthMm: number; heightMm: number },
  sizes: { maximumPt: number; minimumPt: number },
  measure: TextMeasure,
): FittedText | null {
  for (const sizePt of sizesDown(sizes.maximumPt, sizes.minimumPt)) {
    const lines = wrapParagraphs(paragraphs, sizePt, box.widthMm, measure, false)
    if (lines !== null && linesHeightMm(lines.length, sizePt) <= box.heightMm) {
      return { sizePt, lines, cut: [] }
    }
  }
  return null
}

/**
 * Sets as much as fits at one size, breaking words where needed. What is left out is told in
 * `cut`, and the last line before the gap ends with an ellipsis.
 */
export function forceParagraphs(
  paragraphs: readonly Paragraph[],
  box: { widthMm: number; heightMm: number },
  sizePt: number,
  measure: TextMeasure,
): FittedText {
  const all = wrapParagraphs(paragraphs, sizePt, box.widthMm, measure, true)
  if (all === null) return { sizePt, lines: [], cut: [...paragraphs.keys()] }
  const capacity = Math.max(0, Math.floor(box.heightMm / linesHeightMm(1, sizePt) + 1e-9))
  if (all.length <= capacity) return { sizePt, lines: all, cut: [] }
  const lines = all.slice(0, capacity)
  const cut = new Set(all.slice(capacity).map((line) => line.paragraph))
  const last = lines.pop()
  if (last !== undefined) {
    const ending = endWithEllipsis(last, sizePt, box.widthMm, measure)
    lines.push(...ending)
    // The ellipsis may have taken the place of characters of a paragraph that was whole.
    if (ending[0]?.text !== `${last.text}…`) cut.add(last.paragraph)
  }
  return { sizePt, lines, cut: [...cut].sort((a, b) => a - b) }
}

/**
 * Breaks paragraphs into lines no wider than `widthMm`: at spaces, and in a word that is too long
 * by itself after hyphens and slashes. With `breakWords` such a word is broken anywhere. Null
 * where a piece, or with `breakWords` a single character, is wider than the box.
 */
export function wrapParagraphs(
  paragraphs: readonly Paragraph[],
  sizePt: number,
  widthMm: number,
  measure: TextMeasure,
  breakWords: boolean,
): WrappedLine[] | null {
  const lines: WrappedLine[] = []
  for (const [paragraph, { text, font }] of paragraphs.entries()) {
    const fits = (line: string) => measure.widthMm(line.trimEnd(), font, sizePt) <= widthMm
    const wrapped = wrapText(text, fits, breakWords)
    if (wrapped === null) return null
    lines.push(...wrapped.map((line) => ({ text: line, font, paragraph })))
  }
  return lines
}

function wrapText(
  text: string,
  fits: (line: string) => boolean,
  breakWords: boolean,
): string[] | null {
  const lines: string[] = []
  let line = ''
  const append = (piece: string): boolean => {
    if (!fits(line + piece)) {
      if (line.trim() !== '') lines.push(line.trim())
      line = ''
    }
    if (!fits(line + piece)) return false
    line += piece
    return true
  }
  for (const word of text.match(/[^ ]+ */gu) ?? []) {
    if (append(word)) continue
    for (const piece of word.match(/[^/-]*[/-]+|[^/-]+$/gu) ?? []) {
      if (append(piece)) continue
      if (!breakWords) return null
      for (const character of piece) {
        if (!append(character)) return null
      }
    }
  }
  if (line.trim() !== '') lines.push(line.trim())
  return lines
}

/** The line with an ellipsis in place of its last characters; none where not even that fits. */
function endWithEllipsis(
  line: WrappedLine,
  sizePt: number,
  widthMm: number,
  measure: TextMeasure,
): WrappedLine[] {
  const characters = [...line.text]
  for (;;) {
    const text = `${characters.join('').trimEnd()}…`
    if (measure.widthMm(text, line.font, sizePt) <= widthMm) return [{ ...line, text }]
    if (characters.length === 0) return []
    characters.pop()
  }
}
