// Lays out a field tag: copies of its symbol along the tag, with the code and short lines between.
import type { TextMeasure } from './fonts.ts'
import { fitTagCell, type CellGrade, type TagCell } from './fit-cell.ts'
import type { LabelDraft, SymbolCopy, TextBlock } from './layout-types.ts'
import { cleanText, type FieldTag } from './request.ts'
import {
  FIELD_MODULE_MINIMUM_MM,
  QUIET_ZONE_STANDARD_MODULES,
  dotMm,
  fieldTagSymbol,
  type PrinterDpi,
  type QrSymbol,
} from './symbol.ts'

/** Largest module: beyond it more copies serve better than larger ones. Own choice, no source. */
const MODULE_MAXIMUM_MM = 1.5
/** Length of tag for each copy, so that one faces out from a bundle. Own choice, no source. */
const LENGTH_PER_COPY_MM = 32
/** The same for broad tags, as a share of their breadth. */
const BREADTHS_PER_COPY = 1.3
/** From this length to breadth on, a tag carries at least two copies. */
const TWO_COPIES_RATIO = 1.5
/** Most copies on one tag. */
const COPIES_LIMIT = 12
/** White between text and a symbol's quiet zone, in mm. */
const TEXT_PADDING_MM = 0.5
/** Narrowest column of text, in mm. */
const TEXT_WIDTH_MINIMUM_MM = 5
/**
 * Widest symbol on a bundle, as a share of the bundle's diameter. From our own unfinished
 * measurement: a 20 mm label read seldom on 25 mm and nearly always on 40 mm.
 */
const SYMBOL_PER_DIAMETER = 0.5

interface Frame {
  lengthMm: number
  breadthMm: number
}

interface Arrangement {
  copies: number
  moduleMm: number
  quietModules: number
}

/**
 * Lays a field tag out in a frame whose longer side is `lengthMm`. Tries, in this order: as many
 * copies as the length asks for, the largest modules, the widest quiet zone; and takes fewer,
 * smaller ones until code and lines fit at a good size, then at the smallest.
 * @returns the draft, from the frame's upper left corner; `overflow` holds lines that were cut
 */
export function layoutFieldTag(
  tag: FieldTag,
  frame: Frame,
  printerDpi: PrinterDpi,
  measure: TextMeasure,
): LabelDraft {
  const symbol = fieldTagSymbol(tag.code)
  for (const grade of ['comfortable', 'tight', 'cut'] as const) {
    for (const arrangement of arrangements(tag, symbol, frame, printerDpi, grade)) {
      const draft = arrange(tag, symbol, arrangement, { frame, printerDpi, grade, measure })
      if (draft !== null) return withBundleWarning(draft, tag)
    }
  }
  // The label form's least side leaves room for a symbol of one dot per module and no text.
  throw new Error(`a field tag of ${frame.lengthMm} × ${frame.breadthMm} mm has no layout`)
}

function arrangements(
  tag: FieldTag,
  symbol: QrSymbol,
  frame: Frame,
  printerDpi: PrinterDpi,
  grade: CellGrade,
): Arrangement[] {
  const dot = dotMm(printerDpi)
  const withQuiet = symbol.sideModules + 2
  const byBundleMm =
    tag.bundleDiameterMm === undefined
      ? Number.POSITIVE_INFINITY
      : (tag.bundleDiameterMm * SYMBOL_PER_DIAMETER) / symbol.sideModules
  const byFrameMm = (Math.min(frame.breadthMm, frame.lengthMm) - dot) / withQuiet
  const widestMm = Math.min(MODULE_MAXIMUM_MM, byBundleMm, byFrameMm)
  const mostDots = Math.max(1, Math.floor(widestMm / dot + 1e-9))
  const fewestDots = Math.min(mostDots, Math.ceil(FIELD_MODULE_MINIMUM_MM / dot - 1e-9))
  if (grade === 'cut') return [{ copies: 1, moduleMm: fewestDots * dot, quietModules: 1 }]
  const found: Arrangement[] = []
  for (let copies = wantedCopies(frame); copies >= 1; copies--) {
    for (let dots = mostDots; dots >= fewestDots; dots--) {
      for (let quietModules = QUIET_ZONE_STANDARD_MODULES; quietModules >= 1; quietModules--) {
        found.push({ copies, moduleMm: dots * dot, quietModules })
      }
    }
  }
  return found
}

function wantedCopies({ lengthMm, breadthMm }: Frame): number {
  const byLength = Math.floor(
    lengthMm / Math.max(LENGTH_PER_COPY_MM, BREADTHS_PER_COPY * breadthMm),
  )
  const least = lengthMm / breadthMm >= TWO_COPIES_RATIO ? 2 : 1
  return Math.min(COPIES_LIMIT, Math.max(least, byLength))
}

function arrange(
  tag: FieldTag,
  symbol: QrSymbol,
  arrangement: Arrangement,
  given: { frame: Frame; printerDpi: PrinterDpi; grade: CellGrade; measure: TextMeasure },
): LabelDraft | null {
  const { copies, moduleMm, quietModules } = arrangement
  const { lengthMm, breadthMm } = given.frame
  // One dot of slack lets the symbol be moved onto whole dots of the page.
  const roomMm = (symbol.sideModules + 2 * quietModules) * moduleMm + dotMm(given.printerDpi)
  const cellCount = Math.max(1, copies - 1)
  const cellMm = (lengthMm - copies * roomMm) / cellCount
  const paddingMm = (copies === 1 ? 1 : 2) * TEXT_PADDING_MM
  const textMm = cellMm - paddingMm
  if (roomMm > breadthMm || (given.grade !== 'cut' && textMm < TEXT_WIDTH_MINIMUM_MM)) return null

  const symbols: SymbolCopy[] = []
  const texts: TextBlock[] = []
  const overflow = new Set<string>()
  for (let copy = 0; copy < copies; copy++) {
    symbols.push({
      symbol,
      xMm: copy * (roomMm + cellMm) + quietModules * moduleMm,
      yMm: (breadthMm - roomMm) / 2 + quietModules * moduleMm,
      sideMm: symbol.sideModules * moduleMm,
      moduleMm,
      moduleDots: Math.round(moduleMm / dotMm(given.printerDpi)),
      quietModules,
    })
  }
  const cells = cellContents(tag, cellCount)
  for (const [index, cell] of cells.entries()) {
    const box = { widthMm: Math.max(0, textMm), heightMm: breadthMm }
    const fitted = fitTagCell(cell, box, given.grade, given.measure)
    if (fitted === null) return null
    const xMm = (index + 1) * roomMm + index * cellMm + TEXT_PADDING_MM
    texts.push(...fitted.texts.map((text) => ({ ...text, xMm: text.xMm + xMm })))
    for (const text of fitted.overflow) overflow.add(text)
  }
  return { symbols, texts, frames: [], warnings: [], overflow: [...overflow] }
}

/** With several cells, code and lines take turns, so that both face out on every side. */
function cellContents(tag: FieldTag, cellCount: number): TagCell[] {
  const lines = tag.lines.map(cleanText)
  const mark = tag.printing > 1 ? `R${tag.printing}` : null
  if (cellCount === 1) return [{ code: tag.code, lines, mark }]
  return Array.from({ length: cellCount }, (_, index) =>
    index % 2 === 1 && lines.length > 0
      ? { code: null, lines, mark: null }
      : { code: tag.code, lines: [], mark },
  )
}

function withBundleWarning(draft: LabelDraft, tag: FieldTag): LabelDraft {
  const sideMm = draft.symbols[0]?.sideMm ?? 0
  if (tag.bundleDiameterMm === undefined) return draft
  if (sideMm <= tag.bundleDiameterMm * SYMBOL_PER_DIAMETER + 1e-9) return draft
  const message =
    `A symbol of ${sideMm.toFixed(1)} mm is wide for a bundle of ${tag.bundleDiameterMm} mm: ` +
    'the curve hides its edges. Let the tag hang free as a flag.'
  return { ...draft, warnings: [...draft.warnings, { code: 'symbol_for_bundle', message }] }
}
