// Wrapping and shrinking of text: lines stay inside, and what is cut is told.
import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import {
  fitParagraphs,
  forceParagraphs,
  linesHeightMm,
  wrapParagraphs,
  type Paragraph,
} from '../../api/labels/fit-text.ts'
import { openTextMeasure } from '../../api/labels/fonts.ts'
import { EXAMPLE_LINES } from './examples.ts'

const measure = openTextMeasure()
const words = fc.constantFrom(...EXAMPLE_LINES.flat(), 'a/b/c-d', 'W'.repeat(30))
const paragraphs = fc.array(
  words.map((text): Paragraph => ({ text, font: 'text' })),
  { minLength: 1, maxLength: 4 },
)
const boxes = fc.record({
  widthMm: fc.integer({ min: 1, max: 80 }),
  heightMm: fc.integer({ min: 1, max: 30 }),
})

describe('fitting text', () => {
  test('text breaks at spaces first, and inside a word only where it is too long by itself', () => {
    const lines = (text: string, widthMm: number, breakWords = false) =>
      wrapParagraphs([{ text, font: 'text' }], 8, widthMm, measure, breakWords)?.map(
        (line) => line.text,
      )
    expect(lines('Lot 26-014 bundle 3', 30)).toEqual(['Lot 26-014 bundle 3'])
    expect(lines('Lot 26-014 bundle 3', 14)).toEqual(['Lot 26-014', 'bundle 3'])
    expect(lines('26-014-long-reference', 14)).toEqual(['26-014-', 'long-', 'reference'])
    expect(lines('Unbreakable', 8)).toBeUndefined()
    expect(lines('Unbreakable', 8, true)?.join('')).toBe('Unbreakable')
  })

  test('fitted text stays in its box, is whole, and could not be set larger', () => {
    fc.assert(
      fc.property(paragraphs, boxes, (texts, box) => {
        const sizes = { maximumPt: 10, minimumPt: 5 }
        const fitted = fitParagraphs(texts, box, sizes, measure)
        fc.pre(fitted !== null)
        if (fitted === null) return
        for (const line of fitted.lines) {
          const widthMm = measure.widthMm(line.text, line.font, fitted.sizePt)
          expect(widthMm).toBeLessThanOrEqual(box.widthMm)
        }
        const heightMm = linesHeightMm(fitted.lines.length, fitted.sizePt)
        expect(heightMm).toBeLessThanOrEqual(box.heightMm)
        const joined = fitted.lines.map((line) => line.text).join('')
        expect(joined.replaceAll(' ', '')).toBe(
          texts.map((one) => one.text.replaceAll(' ', '')).join(''),
        )
        if (fitted.sizePt === 10) return
        const larger = { maximumPt: 10, minimumPt: fitted.sizePt + 0.5 }
        expect(fitParagraphs(texts, box, larger, measure)).toBeNull()
      }),
      { numRuns: 300 },
    )
  })

  test('cut text stays in its box, and every paragraph is whole or told', () => {
    fc.assert(
      fc.property(paragraphs, boxes, (texts, box) => {
        const forced = forceParagraphs(texts, box, 5, measure)
        const heightMm = linesHeightMm(forced.lines.length, 5)
        expect(heightMm).toBeLessThanOrEqual(box.heightMm + 1e-6)
        for (const line of forced.lines) {
          expect(measure.widthMm(line.text, line.font, 5)).toBeLessThanOrEqual(box.widthMm)
        }
        for (const [index, { text }] of texts.entries()) {
          const shown = forced.lines
            .filter((line) => line.paragraph === index)
            .map((line) => line.text)
            .join('')
          const whole = shown.replace('…', '').replaceAll(' ', '') === text.replaceAll(' ', '')
          expect(whole || forced.cut.includes(index), text).toBe(true)
        }
        const last = forced.lines.at(-1)
        if (forced.cut.length > 0 && last !== undefined) expect(last.text).toMatch(/…$/)
      }),
      { numRuns: 300 },
    )
  })

  test('a width is in proportion to the size', () => {
    const width = (sizePt: number) => measure.widthMm('Valdorena', 'text', sizePt)
    expect(width(10)).toBeCloseTo(2 * width(5), 9)
    // A monospaced letter of DejaVu Sans Mono is 1233/2048 em wide (its published metrics).
    expect(measure.widthMm('0', 'code', 72)).toBeCloseTo((25.4 * 1233) / 2048, 6)
  })
})
