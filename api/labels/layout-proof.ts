// Lays out a journal proof on a label: the newest checkpoint in words and as a symbol, and no tag.
import { openNote } from '../journal/note.ts'
import { readCheckpoint } from '../journal/checkpoint.ts'
import { baselineMm, linesHeightMm, sizesDown, wrapParagraphs } from './fit-text.ts'
import type { FontName, TextMeasure } from './fonts.ts'
import type { LabelDraft, SymbolCopy, TextLine } from './layout-types.ts'
import type { JournalProof } from './request.ts'
import { dotMm, HAND_MODULE_MINIMUM_MM, proofSymbol, type PrinterDpi } from './symbol.ts'

/** Largest and smallest size of the words, in points. Own choice, no source. */
const TEXT_MAXIMUM_PT = 9
const TEXT_MINIMUM_PT = 5
/** Largest module: the symbol is read in the hand, and the words need the room. Own choice. */
const MODULE_MAXIMUM_MM = 0.6
/**
 * Fewest printer dots of a module: one fewer than of a tag, for it is read dry and lying flat.
 * Measured with `tests/labels/proof.test.ts`, which thickens the print by half a dot.
 */
const PROOF_DOTS_MINIMUM = 3
/** White modules about the symbol, the most first; ISO/IEC 18004 asks for four. */
const QUIET_MODULES = [4, 3, 2] as const
/** White between symbol and words, in mm. */
const TEXT_PADDING_MM = 0.8
/** Base64 is read and typed in groups of four. */
const GROUP_LENGTH = 4

/** The words that say what it is, so that nobody takes it for a tag. */
export const PROOF_TITLE = 'Journal proof, keep with the delivery. Not a tag.'

interface Frame {
  lengthMm: number
  breadthMm: number
}

/**
 * Lays it out in a frame whose longer side is `lengthMm`: with the symbol that holds the whole
 * note where its modules stay printable and all words fit beside it, else in words alone; null
 * where even these do not fit at TEXT_MINIMUM_PT. The note must be a checkpoint.
 */
export function layoutJournalProof(
  proof: JournalProof,
  frame: Frame,
  printerDpi: PrinterDpi,
  measure: TextMeasure,
): LabelDraft | null {
  for (const symbol of symbolsThatFit(proof.note, frame, printerDpi)) {
    const symbolMm = symbol.sideMm + 2 * symbol.quietModules * symbol.moduleMm + dotMm(printerDpi)
    const leftMm = symbolMm + TEXT_PADDING_MM
    const lines = fitWords(proof, { ...frame, lengthMm: frame.lengthMm - leftMm }, measure)
    if (lines !== null) return draftOf([symbol], lines, leftMm, frame)
  }
  const lines = fitWords(proof, frame, measure)
  return lines === null ? null : draftOf([], lines, 0, frame)
}

/** The symbols that the frame could hold, those with the largest modules first. */
function symbolsThatFit(note: string, frame: Frame, printerDpi: PrinterDpi): SymbolCopy[] {
  const dot = dotMm(printerDpi)
  const mostDots = Math.floor(MODULE_MAXIMUM_MM / dot + 1e-9)
  const fewestDots = Math.max(PROOF_DOTS_MINIMUM, Math.ceil(HAND_MODULE_MINIMUM_MM / dot - 1e-9))
  const found: SymbolCopy[] = []
  for (let dots = mostDots; dots >= fewestDots; dots--) {
    for (const symbol of [proofSymbol(note, 'M'), proofSymbol(note, 'L')]) {
      const moduleMm = dots * dot
      const fits = (quiet: number) =>
        (symbol.sideModules + 2 * quiet) * moduleMm + dot <= frame.breadthMm + 1e-9
      const quietModules = QUIET_MODULES.find(fits)
      if (quietModules === undefined) continue
      const sideMm = symbol.sideModules * moduleMm
      const roomMm = sideMm + 2 * quietModules * moduleMm + dot
      const xMm = quietModules * moduleMm
      const yMm = (frame.breadthMm - roomMm) / 2 + xMm
      found.push({ symbol, xMm, yMm, sideMm, moduleMm, moduleDots: dots, quietModules })
    }
  }
  return found
}

/** The words at the largest size at which all of them fit, from the frame's upper left corner. */
function fitWords(proof: JournalProof, frame: Frame, measure: TextMeasure): TextLine[] | null {
  const { origin, size, root } = readCheckpoint(openNote(proof.note).text)
  const keyHash = openNote(proof.note).signatures[0]?.keyHash.toString('hex') ?? ''
  const signedAt = proof.signedAt.toISOString().slice(0, 16).replace('T', ' ')
  // A name in letters that the fonts lack is left to the symbol; the hash names the key as well.
  const isPrintable = measure.unprintable(origin, 'text').length === 0
  const name = isPrintable ? [{ text: origin, font: 'text' as const }] : []
  const above = [
    { text: PROOF_TITLE, font: 'bold' as const },
    ...name,
    { text: `${size} entries, key ${keyHash}`, font: 'text' as const },
    { text: `signed ${signedAt} UTC, root`, font: 'text' as const },
  ]
  for (const sizePt of sizesDown(TEXT_MAXIMUM_PT, TEXT_MINIMUM_PT)) {
    const words = wrapParagraphs(above, sizePt, frame.lengthMm, measure, true)
    const groups = groupLines(root.toString('base64'), sizePt, frame.lengthMm, measure)
    if (words === null || groups === null) continue
    const lines: { text: string; font: FontName }[] = [...words, ...groups]
    if (linesHeightMm(lines.length, sizePt) > frame.breadthMm) continue
    return lines.map(({ text, font }, row) => {
      return { text, font, sizePt, xMm: 0, baselineMm: baselineMm(row, sizePt) }
    })
  }
  return null
}

/** Base64 in groups of four, as many on a line as fit, on lines as even as can be. */
function groupLines(
  text: string,
  sizePt: number,
  widthMm: number,
  measure: TextMeasure,
): { text: string; font: FontName }[] | null {
  const groups = text.match(new RegExp(`.{1,${GROUP_LENGTH}}`, 'g')) ?? []
  const widthOf = (count: number) =>
    measure.widthMm(`${'0000 '.repeat(count)}`.trim(), 'code', sizePt)
  let most = groups.length
  while (most > 0 && widthOf(most) > widthMm) most--
  if (most === 0) return null
  const perLine = Math.ceil(groups.length / Math.ceil(groups.length / most))
  const lines: { text: string; font: FontName }[] = []
  for (let from = 0; from < groups.length; from += perLine) {
    lines.push({ text: groups.slice(from, from + perLine).join(' '), font: 'code' })
  }
  return lines
}

function draftOf(
  symbols: SymbolCopy[],
  lines: TextLine[],
  xMm: number,
  { lengthMm, breadthMm }: Frame,
): LabelDraft {
  const heightMm = linesHeightMm(lines.length, lines[0]?.sizePt ?? TEXT_MINIMUM_PT)
  const widthMm = lengthMm - xMm
  const yMm = (breadthMm - heightMm) / 2
  const texts = [{ role: 'proof' as const, xMm, yMm, widthMm, heightMm, lines }]
  return { symbols, texts, frames: [], warnings: [], overflow: [] }
}
