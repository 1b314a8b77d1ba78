// What a laid-out label is made of: symbols, blocks of text and frames, all placed in millimetres.
import type { FontName } from './fonts.ts'
import type { QrSymbol } from './symbol.ts'

/** A rectangle in mm, from the upper left corner of what it lies on. */
export interface Rectangle {
  xMm: number
  yMm: number
  widthMm: number
  heightMm: number
}

/** One line of text inside its block. */
export interface TextLine {
  text: string
  font: FontName
  sizePt: number
  /** From the block's left edge, in reading direction, in mm. */
  xMm: number
  /** From the block's top edge, in reading direction, in mm. */
  baselineMm: number
}

/** A block of text; its lines stay inside it. */
export interface TextBlock extends Rectangle {
  role: 'code' | 'lines' | 'mark' | 'particulars' | 'passport' | 'flag' | 'statement' | 'proof'
  lines: TextLine[]
}

/** One copy of the symbol with the white around it. */
export interface SymbolCopy {
  symbol: QrSymbol
  /** The symbol itself, without quiet zone: a square. */
  xMm: number
  yMm: number
  sideMm: number
  /** Side of one module, in mm. */
  moduleMm: number
  /** Side of one module, in whole printer dots. */
  moduleDots: number
  /** White modules that are kept free on every side. */
  quietModules: number
}

/** A thin outlined rectangle. */
export interface Frame extends Rectangle {
  role: 'passport' | 'flag'
  strokeMm: number
  dashed: boolean
}

/** Something about one label that the person should know before printing. */
export interface LabelWarning {
  labelIndex: number
  code:
    | 'module_small'
    | 'few_dots'
    | 'code_small'
    | 'text_small'
    | 'symbol_for_bundle'
    | 'length_left_out'
    | 'operator_code_form'
  message: string
}

/** A text that did not fit whole, even at the smallest size. */
export interface Overflow {
  labelIndex: number
  text: string
}

/** A text with characters that the fonts cannot print right. */
export interface Unprintable {
  labelIndex: number
  text: string
  characters: string[]
}

/** A particular that the label should carry and the nursery has not filled in. */
export interface MissingParticular {
  labelIndex: number
  /** Number of the label particular, 1 to 12, or letter of the passport element, A to D. */
  number: string
  name: string
}

/** One label, placed in its own frame before it goes onto a page. */
export interface LabelDraft {
  /** Symbols with room for moving each by up to one printer dot. */
  symbols: SymbolCopy[]
  texts: TextBlock[]
  frames: Frame[]
  warnings: Omit<LabelWarning, 'labelIndex'>[]
  overflow: string[]
}

/** One label on its page. Everything in it is measured from the label's upper left corner. */
export interface PlacedLabel extends Rectangle {
  labelIndex: number
  page: number
  /** Text reads upwards: the label was laid out lying on its left side. */
  turned: boolean
  symbols: SymbolCopy[]
  texts: TextBlock[]
  frames: Frame[]
}

/** A whole print, ready to draw. */
export interface LabelLayout {
  pageWidthMm: number
  pageHeightMm: number
  pageCount: number
  labels: PlacedLabel[]
  /** A journal proof behind the last label; it is none of the labels and counts nowhere. */
  journalProof: PlacedLabel | null
  /** Why a journal proof that was asked for is not printed. */
  journalProofProblem: string | null
  warnings: LabelWarning[]
  overflow: Overflow[]
  unprintable: Unprintable[]
  missing: MissingParticular[]
}
