// The fonts that labels are set in, and how wide a text comes out in them.
import { createRequire } from 'node:module'
import PDFDocument from 'pdfkit'

/** `text` and `bold` for words; `code` for tag codes, with a stroke in its zero. */
export type FontName = 'text' | 'bold' | 'code'

/** Points per millimetre: a point is 1/72 inch. */
export const POINTS_PER_MM = 72 / 25.4
/** Height of one line of words, as a share of the font size: DejaVu's ascent plus descent. */
export const LINE_HEIGHT_EM = 1.17
/** From the top of a line of words to its baseline, as a share of the font size. */
export const BASELINE_EM = 0.93

/** Measures text without drawing it, so that layout needs no document. */
export interface TextMeasure {
  /** Width of one line of text, in mm. */
  widthMm(text: string, font: FontName, sizePt: number): number
  /** The characters that the font cannot print right, each once. */
  unprintable(text: string, font: FontName): string[]
}

const require = createRequire(import.meta.url)

/** Font files by name. DejaVu has Latin, Greek, Cyrillic, Armenian and Georgian letters. */
export const FONT_FILES: Readonly<Record<FontName, string>> = {
  text: require.resolve('dejavu-fonts-ttf/ttf/DejaVuSansCondensed.ttf'),
  bold: require.resolve('dejavu-fonts-ttf/ttf/DejaVuSansCondensed-Bold.ttf'),
  code: require.resolve('dejavu-fonts-ttf/ttf/DejaVuSansMono-Bold.ttf'),
}

/** Scripts written from right to left: the letters may be there, but not their order. */
const RIGHT_TO_LEFT = /[\p{Script=Hebrew}\p{Script=Arabic}\p{Script=Syriac}\p{Script=Thaana}]/u
/** Words measured and kept before the store is emptied. */
const WIDTHS_KEPT_LIMIT = 20_000
const MEASURED_AT_PT = 1000

/** Opens the fonts once and gives a measure that remembers what it measured. */
export function openTextMeasure(): TextMeasure {
  const document = new PDFDocument({ autoFirstPage: false })
  const glyphs = Object.fromEntries(
    Object.entries(FONT_FILES).map(([name, file]) => {
      document.registerFont(name, file).font(name)
      return [name, currentGlyphs(document)]
    }),
  )
  const widths = new Map<string, number>()
  return {
    widthMm(text, font, sizePt) {
      const key = `${font} ${text}`
      let width = widths.get(key)
      if (width === undefined) {
        width = document.font(font).fontSize(MEASURED_AT_PT).widthOfString(text)
        if (widths.size >= WIDTHS_KEPT_LIMIT) widths.clear()
        widths.set(key, width)
      }
      return ((width / MEASURED_AT_PT) * sizePt) / POINTS_PER_MM
    },
    unprintable(text, font) {
      const has = glyphs[font]
      const missing = [...text].filter(
        (character) =>
          RIGHT_TO_LEFT.test(character) ||
          !has?.hasGlyphForCodePoint(character.codePointAt(0) ?? 0),
      )
      return [...new Set(missing)]
    },
  }
}

interface Glyphs {
  hasGlyphForCodePoint(codePoint: number): boolean
}

/** pdfkit keeps the parsed font to itself; a test holds this to what it prints. */
function currentGlyphs(document: PDFKit.PDFDocument): Glyphs {
  const { _font } = document as unknown as { _font: { font: Glyphs } }
  return _font.font
}
