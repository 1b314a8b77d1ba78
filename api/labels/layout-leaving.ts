// Lays out a label that leaves the nursery: passport block, symbol with code, particulars.
import { markBlock, markSize } from './fit-cell.ts'
import { CODE_MINIMUM_PT, codeBlock, fitCode, type FittedCode } from './fit-code.ts'
import {
  baselineMm,
  fitParagraphs,
  forceParagraphs,
  linesHeightMm,
  sizesDown,
  type FittedText,
} from './fit-text.ts'
import type { TextMeasure } from './fonts.ts'
import { PASSPORT_SIZES_PT, layoutPassport, type PassportBlock } from './layout-passport.ts'
import type { LabelDraft, TextBlock } from './layout-types.ts'
import { PREPARED_STATEMENT, particularParagraphs, particularWarnings } from './particulars.ts'
import { cleanText, type LeavingLabel } from './request.ts'
import {
  FIELD_MODULE_MINIMUM_MM,
  HAND_MODULE_MINIMUM_MM,
  QUIET_ZONE_STANDARD_MODULES,
  dotMm,
  leavingLabelSymbol,
  type PrinterDpi,
  type QrSymbol,
} from './symbol.ts'

/** Sizes of the particulars, in points. Common practice, no source. */
export const PARTICULAR_SIZES_PT = { maximum: 9, comfortable: 7, minimum: 5 }
/** Sizes of the code beside a symbol that any telephone reads, in points. */
const CODE_SIZES_PT = { maximumPt: 14, comfortablePt: 8, minimumPt: CODE_MINIMUM_PT }
const STATEMENT_SIZES_PT = { maximumPt: 7, minimumPt: 5 }
/** Largest module, in mm: the rest of the label is needed for words. Own choice, no source. */
const MODULE_MAXIMUM_MM = 0.8
const GAP_MM = 1

interface Area {
  widthMm: number
  heightMm: number
}

/** The part of the label between the passport block and the statement. */
interface Body {
  symbolYMm: number
  symbolXMm: number
  texts: TextBlock[]
  sizePt: number
  overflow: string[]
}

type Grade = 'comfortable' | 'tight' | 'cut'

/**
 * Lays a leaving label out in an area. Tries good sizes first: the passport from 9 pt down, modules
 * from 0.8 mm down to 0.5 mm, text from 9 pt to 7 pt; then modules to 0.33 mm and text to 5 pt.
 * @returns the draft, from the area's upper left corner; `overflow` holds texts that were cut
 */
export function layoutLeavingLabel(
  label: LeavingLabel,
  area: Area,
  printerDpi: PrinterDpi,
  measure: TextMeasure,
): LabelDraft {
  const symbol = leavingLabelSymbol(label.host, label.code)
  const statement = layoutStatement(label, area, measure)
  const aboveMm = area.heightMm - statement.heightMm - GAP_MM
  for (const grade of ['comfortable', 'tight', 'cut'] as const) {
    for (const passport of passportBlocks(label, { ...area, heightMm: aboveMm }, grade, measure)) {
      const topMm = passport.heightMm === 0 ? 0 : passport.heightMm + GAP_MM
      const room = { widthMm: area.widthMm, heightMm: aboveMm - topMm }
      for (const dots of moduleDots(symbol, room, printerDpi, grade)) {
        const moduleMm = dots * dotMm(printerDpi)
        const placed = layoutBody(label, symbol, moduleMm, { room, printerDpi, grade, measure })
        if (placed === null) continue
        const { body, quietModules } = placed
        const sideMm = symbol.sideModules * moduleMm
        const place = { xMm: body.symbolXMm, yMm: body.symbolYMm + topMm, sideMm, moduleMm }
        return {
          symbols: [{ symbol, ...place, moduleDots: dots, quietModules }],
          texts: [
            ...passport.texts,
            ...body.texts.map((text) => ({ ...text, yMm: text.yMm + topMm })),
            ...statement.texts,
          ],
          frames: passport.frames,
          warnings: particularWarnings(label),
          overflow: [...passport.overflow, ...body.overflow, ...statement.overflow],
        }
      }
    }
  }
  throw new Error(`a leaving label of ${area.widthMm} × ${area.heightMm} mm has no layout`)
}

function* passportBlocks(
  label: LeavingLabel,
  area: Area,
  grade: Grade,
  measure: TextMeasure,
): Generator<PassportBlock> {
  const { passport } = label
  if (passport === undefined) {
    yield { heightMm: 0, texts: [], frames: [], overflow: [] }
    return
  }
  const { maximum, minimum } = PASSPORT_SIZES_PT
  // When all else is cut, the symbol still needs a place below the block.
  const heightLimitMm = grade === 'cut' ? area.heightMm / 2 : area.heightMm
  for (const sizePt of grade === 'cut' ? [minimum] : sizesDown(maximum, minimum)) {
    const limits = { widthMm: area.widthMm, heightLimitMm }
    const block = layoutPassport(passport, limits, sizePt, measure, grade === 'cut')
    if (block !== null) yield block
  }
}

function moduleDots(symbol: QrSymbol, room: Area, printerDpi: PrinterDpi, grade: Grade): number[] {
  const dot = dotMm(printerDpi)
  const shortMm = Math.min(room.widthMm, room.heightMm)
  const widestMm = Math.min(MODULE_MAXIMUM_MM, (shortMm - dot) / (symbol.sideModules + 2))
  const mostDots = Math.floor(widestMm / dot + 1e-9)
  if (grade === 'cut') {
    const hand = Math.ceil(HAND_MODULE_MINIMUM_MM / dot - 1e-9)
    return [Math.max(1, Math.min(mostDots, hand))]
  }
  const leastMm = grade === 'comfortable' ? FIELD_MODULE_MINIMUM_MM : HAND_MODULE_MINIMUM_MM
  const fewestDots = Math.ceil(leastMm / dot - 1e-9)
  return Array.from({ length: Math.max(0, mostDots - fewestDots + 1) }, (_, at) => mostDots - at)
}

interface BodyRequest {
  room: Area
  printerDpi: PrinterDpi
  grade: Grade
  measure: TextMeasure
}

function layoutBody(
  label: LeavingLabel,
  symbol: QrSymbol,
  moduleMm: number,
  request: BodyRequest,
): { body: Body; quietModules: number } | null {
  const dot = dotMm(request.printerDpi)
  const widest = request.grade === 'cut' ? 1 : QUIET_ZONE_STANDARD_MODULES
  for (let quietModules = widest; quietModules >= 1; quietModules--) {
    const roomMm = (symbol.sideModules + 2 * quietModules) * moduleMm + dot
    const fits = roomMm <= Math.min(request.room.widthMm, request.room.heightMm)
    if (!fits && request.grade !== 'cut') continue
    const bodies = [beside, below].flatMap((arrangement) => {
      const found = arrangement(label, roomMm, request)
      return found === null ? [] : [found]
    })
    const best = bodies.sort(
      (a, b) => a.overflow.length - b.overflow.length || b.sizePt - a.sizePt,
    )[0]
    if (best === undefined) continue
    const quietMm = quietModules * moduleMm
    const symbolXMm = best.symbolXMm + quietMm
    const body = { ...best, symbolXMm, symbolYMm: best.symbolYMm + quietMm }
    return { body, quietModules }
  }
  return null
}

/** Symbol and code in a column on the left, particulars on the right. */
function beside(label: LeavingLabel, roomMm: number, request: BodyRequest): Body | null {
  const { room, grade, measure } = request
  const mark = markOf(label)
  const markRoom = markSize(mark, measure)
  const codeRoom = { widthMm: roomMm, heightMm: room.heightMm - roomMm - markRoom.heightMm }
  const code = fitCode(label.code, codeRoom, codeSizes(grade), measure)
  if (code === null && grade !== 'cut') return null
  const xMm = roomMm + GAP_MM
  const text = setParticulars(label, { ...room, widthMm: room.widthMm - xMm }, grade, measure)
  if (text === null) return null
  const texts = [particularsBlock(text, xMm, 0, room.widthMm - xMm)]
  if (code !== null) texts.push(codeBlock(code, (roomMm - code.widthMm) / 2, roomMm))
  const markYMm = roomMm + (code?.heightMm ?? 0)
  const markFits = markYMm + markRoom.heightMm <= room.heightMm && markRoom.widthMm <= roomMm
  if (mark !== null && markFits) {
    texts.push(markBlock(mark, (roomMm - markRoom.widthMm) / 2, markYMm, markRoom.widthMm))
  }
  return bodyOf(label, texts, text, code)
}

/** Symbol upper left with the code at its right, particulars below over the whole width. */
function below(label: LeavingLabel, roomMm: number, request: BodyRequest): Body | null {
  const { room, grade, measure } = request
  const mark = markOf(label)
  const markRoom = markSize(mark, measure)
  const rightMm = room.widthMm - roomMm - GAP_MM
  const codeRoom = { widthMm: rightMm, heightMm: roomMm - markRoom.heightMm }
  const code = fitCode(label.code, codeRoom, codeSizes(grade), measure)
  if (code === null && grade !== 'cut') return null
  const yMm = roomMm
  const text = setParticulars(label, { ...room, heightMm: room.heightMm - yMm }, grade, measure)
  if (text === null) return null
  const texts = [particularsBlock(text, 0, yMm, room.widthMm)]
  const codeXMm = roomMm + GAP_MM
  const codeYMm = (roomMm - (code?.heightMm ?? 0) - markRoom.heightMm) / 2
  if (code !== null) texts.push(codeBlock(code, codeXMm, codeYMm))
  const markFits = markRoom.widthMm <= rightMm && markRoom.heightMm <= roomMm
  if (mark !== null && markFits) {
    const markYMm = codeYMm + (code?.heightMm ?? 0)
    texts.push(markBlock(mark, codeXMm, markYMm, markRoom.widthMm))
  }
  return bodyOf(label, texts, text, code)
}

function bodyOf(
  label: LeavingLabel,
  texts: TextBlock[],
  text: FittedText,
  code: FittedCode | null,
): Body {
  const paragraphs = particularParagraphs(label)
  const overflow = text.cut.map((index) => paragraphs[index]?.text ?? '')
  if (code === null) overflow.push(label.code)
  const mark = markOf(label)
  if (mark !== null && !texts.some((block) => block.role === 'mark')) overflow.push(mark)
  const shown = texts.filter((block) => block.lines.length > 0)
  return { symbolXMm: 0, symbolYMm: 0, texts: shown, sizePt: text.sizePt, overflow }
}

function setParticulars(
  label: LeavingLabel,
  box: Area,
  grade: Grade,
  measure: TextMeasure,
): FittedText | null {
  const paragraphs = particularParagraphs(label)
  const { maximum, comfortable, minimum } = PARTICULAR_SIZES_PT
  if (grade === 'cut') return forceParagraphs(paragraphs, box, minimum, measure)
  if (box.heightMm < 0) return null
  const sizes = { maximumPt: maximum, minimumPt: grade === 'comfortable' ? comfortable : minimum }
  const listed = fitParagraphs(paragraphs, box, sizes, measure)
  if (grade === 'comfortable') return listed
  // Where a line for each is too much, they follow one another.
  const flowing = paragraphs.map(({ text }) => text).join('\u00a0· ')
  const flowed = fitParagraphs([{ text: flowing, font: 'text' }], box, sizes, measure)
  return (flowed?.sizePt ?? 0) > (listed?.sizePt ?? 0) ? flowed : listed
}

function particularsBlock(text: FittedText, xMm: number, yMm: number, widthMm: number): TextBlock {
  return {
    role: 'particulars',
    xMm,
    yMm,
    widthMm,
    heightMm: linesHeightMm(text.lines.length, text.sizePt),
    lines: text.lines.map((line, index) => ({
      text: line.text,
      font: line.font,
      sizePt: text.sizePt,
      xMm: 0,
      baselineMm: baselineMm(index, text.sizePt),
    })),
  }
}

/** The statement stands at the foot of the label over its whole width. */
function layoutStatement(
  label: LeavingLabel,
  area: Area,
  measure: TextMeasure,
): { heightMm: number; texts: TextBlock[]; overflow: string[] } {
  const local = label.localStatement === undefined ? '' : cleanText(label.localStatement)
  const text = local === '' ? PREPARED_STATEMENT : `${local} / ${PREPARED_STATEMENT}`
  const paragraphs = [{ text, font: 'bold' as const }]
  const box = { widthMm: area.widthMm, heightMm: area.heightMm / 3 }
  const fitted =
    fitParagraphs(paragraphs, box, STATEMENT_SIZES_PT, measure) ??
    forceParagraphs(paragraphs, box, STATEMENT_SIZES_PT.minimumPt, measure)
  const heightMm = linesHeightMm(fitted.lines.length, fitted.sizePt)
  const block = particularsBlock(fitted, 0, area.heightMm - heightMm, area.widthMm)
  return {
    heightMm,
    texts: fitted.lines.length === 0 ? [] : [{ ...block, role: 'statement' }],
    overflow: fitted.cut.length === 0 ? [] : [text],
  }
}

function codeSizes(grade: Grade): { maximumPt: number; minimumPt: number } {
  const { maximumPt, comfortablePt, minimumPt } = CODE_SIZES_PT
  return { maximumPt, minimumPt: grade === 'comfortable' ? comfortablePt : minimumPt }
}

function markOf(label: LeavingLabel): string | null {
  return label.printing > 1 ? `R${label.printing}` : null
}
