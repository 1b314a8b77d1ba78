// Lays out the plant passport block: a bordered rectangle with flag place, words and elements.
import {
  baselineMm,
  fitParagraphs,
  forceParagraphs,
  linesHeightMm,
  type FittedText,
} from './fit-text.ts'
import type { TextMeasure } from './fonts.ts'
import type { Frame, Rectangle, TextBlock } from './layout-types.ts'
import { cleanText, type Passport } from './request.ts'

/** The words of Regulation (EU) 2016/2031 Annex VII part A in English. */
export const PASSPORT_WORDS = 'Plant Passport'
/** We do not print the Union's flag: only an authorised operator may issue a passport. */
export const FLAG_PLACE_WORDS = 'flag: printed by the authorised operator'

/** Sizes of the passport's text, largest first, in points. */
export const PASSPORT_SIZES_PT = { maximum: 9, minimum: 6 }

const FLAG_WIDTH_MM = 15
const FLAG_HEIGHT_MM = 10
const FLAG_TEXT_PT = 5
const BORDER_MM = 0.3
const PADDING_MM = 1
const COLUMN_GAP_MM = 2
/** Least area that the flag place and one line beside it take. */
const WIDTH_MINIMUM_MM = 36
const HEIGHT_MINIMUM_MM = FLAG_HEIGHT_MM + 2 * PADDING_MM
/** The words stand out by this much above the elements. */
const WORDS_RATIO = 1.15

/** A laid-out passport block, from its own upper left corner. */
export interface PassportBlock {
  heightMm: number
  texts: TextBlock[]
  frames: Frame[]
  overflow: string[]
}

/**
 * Lays the block out over a width in mm: flag place upper left, words upper right, elements below
 * the words (Annex VII part A; Implementing Regulation (EU) 2017/2313 art. 2: inside a border,
 * sizes and proportions free). With `cut`, sets what fits into `heightLimitMm` and tells the rest.
 * @returns null when it does not fit at this size with no word broken
 */
export function layoutPassport(
  passport: Passport,
  area: { widthMm: number; heightLimitMm: number },
  sizePt: number,
  measure: TextMeasure,
  cut: boolean,
): PassportBlock | null {
  if (area.widthMm < WIDTH_MINIMUM_MM || area.heightLimitMm < HEIGHT_MINIMUM_MM) {
    return cut ? leftOut(passport) : null
  }
  const columnXMm = PADDING_MM + FLAG_WIDTH_MM + COLUMN_GAP_MM
  const columnMm = area.widthMm - columnXMm - PADDING_MM
  const innerLimitMm = area.heightLimitMm - 2 * PADDING_MM
  const wordsPt = Math.round(sizePt * WORDS_RATIO * 2) / 2
  const set = setter(measure, cut)
  const words = set([passportWords(passport)], 'bold', wordsPt, columnMm, innerLimitMm)
  if (words === null) return null
  const wordsMm = linesHeightMm(words.lines.length, wordsPt)
  const halves = splitElements(passport)
  const halfMm = (columnMm - COLUMN_GAP_MM) / 2
  const leftMm = innerLimitMm - wordsMm
  const twoColumns = halves.map((half) => fitOneLineEach(half, sizePt, halfMm, leftMm, measure))
  const columns = twoColumns.every((column) => column !== null)
    ? twoColumns
    : [set(halves.flat(), 'text', sizePt, columnMm, leftMm)]
  const texts = [
    textBlock(words, wordsPt, { xMm: columnXMm, yMm: PADDING_MM, widthMm: columnMm }, measure),
  ]
  let tallestMm = 0
  for (const [index, column] of columns.entries()) {
    if (column === null) return null
    const widthMm = columns.length === 1 ? columnMm : halfMm
    const xMm = columnXMm + index * (halfMm + COLUMN_GAP_MM)
    const yMm = PADDING_MM + wordsMm
    if (column.lines.length > 0) texts.push(textBlock(column, sizePt, { xMm, yMm, widthMm }))
    tallestMm = Math.max(tallestMm, linesHeightMm(column.lines.length, sizePt))
  }
  const heightMm = Math.max(FLAG_HEIGHT_MM, wordsMm + tallestMm) + 2 * PADDING_MM
  if (heightMm > area.heightLimitMm + 1e-9) return null
  const flag = flagPlace(measure)
  const all = halves.flat()
  const overflow = columns.flatMap((column) => (column?.cut ?? []).map((at) => all[at] ?? ''))
  if (words.cut.length > 0) overflow.unshift(passportWords(passport))
  const border = { xMm: 0, yMm: 0, widthMm: area.widthMm, heightMm, strokeMm: BORDER_MM }
  return {
    heightMm,
    texts: [...texts, flag.text].filter((text) => text.lines.length > 0),
    frames: [{ role: 'passport', ...border, dashed: false }, flag.frame],
    overflow,
  }
}

/** The words in another official language, a slash, and in English (Annex VII part A). */
export function passportWords(passport: Passport): string {
  const local = passport.localWords === undefined ? '' : cleanText(passport.localWords)
  return local === '' || local === PASSPORT_WORDS ? PASSPORT_WORDS : `${local} / ${PASSPORT_WORDS}`
}

/** Elements A and B, and C and D, each only if filled in. */
function splitElements(passport: Passport): [string[], string[]] {
  const { botanicalName, operatorCode, traceabilityCode, origin } = passport
  const element = (letter: string, text: string | undefined) =>
    text === undefined ? [] : [`${letter}. ${cleanText(text)}`]
  return [
    [...element('A', botanicalName), ...element('B', operatorCode)],
    [...element('C', traceabilityCode), ...element('D', origin)],
  ]
}

function leftOut(passport: Passport): PassportBlock {
  const overflow = [passportWords(passport), ...splitElements(passport).flat()]
  return { heightMm: 0, texts: [], frames: [], overflow }
}

function setter(measure: TextMeasure, cut: boolean) {
  return (
    texts: string[],
    font: 'text' | 'bold',
    sizePt: number,
    widthMm: number,
    heightMm: number,
  ): FittedText | null => {
    const paragraphs = texts.map((text) => ({ text, font }))
    const sizes = { maximumPt: sizePt, minimumPt: sizePt }
    const fitted = fitParagraphs(paragraphs, { widthMm, heightMm }, sizes, measure)
    if (fitted !== null || !cut) return fitted
    return forceParagraphs(paragraphs, { widthMm, heightMm }, sizePt, measure)
  }
}

function fitOneLineEach(
  texts: string[],
  sizePt: number,
  widthMm: number,
  heightMm: number,
  measure: TextMeasure,
): FittedText | null {
  const fitted = setter(measure, false)(texts, 'text', sizePt, widthMm, heightMm)
  return fitted !== null && fitted.lines.length === texts.length ? fitted : null
}

/** With a measure given the lines are set to the right, as the words belong in that corner. */
function textBlock(
  fitted: FittedText,
  sizePt: number,
  place: { xMm: number; yMm: number; widthMm: number },
  rightAlign?: TextMeasure,
): TextBlock {
  const heightMm = linesHeightMm(fitted.lines.length, sizePt)
  const lines = fitted.lines.map(({ text, font }, index) => ({
    text,
    font,
    sizePt,
    xMm: rightAlign === undefined ? 0 : place.widthMm - rightAlign.widthMm(text, font, sizePt),
    baselineMm: baselineMm(index, sizePt),
  }))
  return { role: 'passport', ...place, heightMm, lines }
}

function flagPlace(measure: TextMeasure): { text: TextBlock; frame: Frame } {
  const place: Rectangle = {
    xMm: PADDING_MM,
    yMm: PADDING_MM,
    widthMm: FLAG_WIDTH_MM,
    heightMm: FLAG_HEIGHT_MM,
  }
  const box = { widthMm: FLAG_WIDTH_MM - 1, heightMm: FLAG_HEIGHT_MM - 0.6 }
  const fitted = forceParagraphs(
    [{ text: FLAG_PLACE_WORDS, font: 'text' }],
    box,
    FLAG_TEXT_PT,
    measure,
  )
  const heightMm = linesHeightMm(fitted.lines.length, FLAG_TEXT_PT)
  const text: TextBlock = {
    role: 'flag',
    xMm: place.xMm + 0.5,
    yMm: place.yMm + (FLAG_HEIGHT_MM - heightMm) / 2,
    widthMm: box.widthMm,
    heightMm,
    lines: fitted.lines.map((line, index) => ({
      text: line.text,
      font: line.font,
      sizePt: FLAG_TEXT_PT,
      xMm: (box.widthMm - measure.widthMm(line.text, line.font, FLAG_TEXT_PT)) / 2,
      baselineMm: baselineMm(index, FLAG_TEXT_PT),
    })),
  }
  return { text, frame: { role: 'flag', ...place, strokeMm: 0.15, dashed: true } }
}
