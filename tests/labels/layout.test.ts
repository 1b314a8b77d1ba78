// Layout of labels: nothing overlaps, nothing leaves the label, and no text is lost in silence.
import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import { BUILT_IN_FORMS } from '../../api/labels/built-in-forms.ts'
import { openTextMeasure } from '../../api/labels/fonts.ts'
import { layoutLabels } from '../../api/labels/layout.ts'
import type { LabelLayout, PlacedLabel } from '../../api/labels/layout-types.ts'
import { labelRequestSchema, type LabelRequestInput } from '../../api/labels/request.ts'
import { dotMm } from '../../api/labels/symbol.ts'
import { anyRequest, textsAsked } from './any-request.ts'
import { EXAMPLE_TIME, exampleFieldTag, exampleLeavingLabel } from './examples.ts'
import { expectApart } from './expect-apart.ts'

const measure = openTextMeasure()

function lay(request: Omit<LabelRequestInput, 'preparedAt'>): LabelLayout {
  return layoutLabels(labelRequestSchema.parse({ preparedAt: EXAMPLE_TIME, ...request }), measure)
}

describe('layout', () => {
  test('no two boxes overlap and none leaves the label, whatever form and text', () => {
    fc.assert(
      fc.property(anyRequest(), (request) => {
        for (const label of lay(request).labels) {
          expectApart(label, request.form.insetMm ?? 1, measure)
        }
      }),
      { numRuns: 400 },
    )
  })

  test('a label with no room for its reprint mark tells the mark instead of spilling it', () => {
    let told = 0
    for (let labelWidthMm = 8; labelWidthMm <= 20; labelWidthMm += 0.7) {
      for (const labelHeightMm of [8, 11, 30]) {
        const layout = lay({
          form: { shape: 'roll', name: 'Tiny', labelWidthMm, labelHeightMm, insetMm: 0 },
          labels: [exampleLeavingLabel(0, { printing: 99 }), exampleFieldTag(0, { printing: 99 })],
        })
        for (const [labelIndex, label] of layout.labels.entries()) {
          expectApart(label, 0, measure)
          const overflow = layout.overflow.filter((one) => one.labelIndex === labelIndex)
          const missed = overflow.some((one) => one.text === 'R99')
          expect(label.texts.some((block) => block.role === 'mark')).toBe(!missed)
          if (missed) told++
        }
      }
    }
    expect(told).toBeGreaterThan(0)
  })

  test('every text is on the label whole or told as overflow', () => {
    fc.assert(
      fc.property(anyRequest(), (request) => {
        const layout = lay(request)
        for (const [labelIndex, label] of request.labels.entries()) {
          const shown = squeeze(textsOf(layout.labels[labelIndex]).join(''))
          const told = layout.overflow.filter((one) => one.labelIndex === labelIndex)
          for (const text of textsAsked(label)) {
            const whole = shown.includes(squeeze(text))
            const reported = told.some((one) => squeeze(one.text).includes(squeeze(text)))
            expect(whole || reported, text).toBe(true)
          }
        }
      }),
      { numRuns: 400 },
    )
  })

  test('modules are whole printer dots and every symbol begins on a whole dot of the page', () => {
    fc.assert(
      fc.property(anyRequest(), (request) => {
        const dot = dotMm(request.printerDpi ?? 203)
        for (const label of lay(request).labels) {
          for (const copy of label.symbols) {
            expectWhole(copy.moduleMm / dot)
            expectWhole((label.xMm + copy.xMm) / dot)
            expectWhole((label.yMm + copy.yMm) / dot)
          }
        }
      }),
      { numRuns: 300 },
    )
  })

  test('a tag along a bundle repeats its symbol evenly, so that one copy faces out', () => {
    const form = BUILT_IN_FORMS['roll-100x25']
    if (form === undefined) throw new Error('the form is gone')
    const layout = lay({ form, labels: [exampleFieldTag(0), exampleFieldTag(1, { lines: [] })] })
    for (const { symbols } of layout.labels) {
      expect(symbols).toHaveLength(3)
      const [first, second, third] = symbols.map((copy) => copy.xMm)
      expect((second ?? 0) - (first ?? 0)).toBeCloseTo((third ?? 0) - (second ?? 0), 0)
      expect(symbols[0]?.moduleMm).toBeGreaterThanOrEqual(0.5)
    }
    expect(layout.warnings).toEqual([])
  })

  test('a code is at least 10 pt high on the built-in rolls and sheets', () => {
    for (const form of Object.values(BUILT_IN_FORMS)) {
      for (const label of lay({ form, labels: [exampleFieldTag(0)] }).labels) {
        const sizes = label.texts.filter((block) => block.role === 'code')
        expect(sizes.length).toBeGreaterThan(0)
        for (const block of sizes) {
          for (const line of block.lines) expect(line.sizePt).toBeGreaterThanOrEqual(10)
        }
      }
    }
  })

  test("a symbol takes at most half a bundle's diameter, and a thin bundle is told", () => {
    const form = BUILT_IN_FORMS['roll-100x25']
    if (form === undefined) throw new Error('the form is gone')
    const sideOn = (bundleDiameterMm: number) => {
      const layout = lay({ form, labels: [exampleFieldTag(0, { bundleDiameterMm })] })
      return { sideMm: layout.labels[0]?.symbols[0]?.sideMm ?? 0, warnings: layout.warnings }
    }
    expect(sideOn(30).sideMm).toBeLessThanOrEqual(15)
    expect(sideOn(30).warnings).toEqual([])
    const thin = sideOn(12)
    expect(thin.sideMm).toBeLessThanOrEqual(6)
    expect(thin.warnings.map((warning) => warning.code)).toEqual(['module_small', 'few_dots'])
  })

  test('a second print carries the mark R2, a first print none', () => {
    const form = BUILT_IN_FORMS['roll-100x70']
    if (form === undefined) throw new Error('the form is gone')
    const marks = (printing: number) =>
      lay({
        form,
        labels: [exampleFieldTag(0, { printing }), exampleLeavingLabel(1, { printing })],
      })
        .labels.map(({ texts }) => texts.filter((block) => block.role === 'mark'))
        .map((blocks) => blocks.flatMap((block) => block.lines.map((line) => line.text)))
    expect(marks(1)).toEqual([[], []])
    expect(marks(2)).toEqual([['R2'], ['R2']])
    expect(marks(12)).toEqual([['R12'], ['R12']])
  })

  test('a part-used sheet begins at its first free label', () => {
    const form = BUILT_IN_FORMS['sheet-a4-3x8']
    if (form === undefined) throw new Error('the form is gone')
    const labels = [0, 1, 2].map((number) => exampleFieldTag(number))
    const layout = lay({ form, firstSlot: 22, labels })
    expect(layout.labels.map(({ page, xMm, yMm }) => [page, xMm, yMm])).toEqual([
      [0, 70, 256.5],
      [0, 140, 256.5],
      [1, 0, 4.5],
    ])
    expect(layout.pageCount).toBe(2)
    const tooFar = labelRequestSchema.safeParse({
      form,
      firstSlot: 24,
      labels,
      preparedAt: EXAMPLE_TIME,
    })
    expect(tooFar.error?.issues[0]?.message).toBe(
      'a sheet of this form has 24 labels: pass over at most 23 of them',
    )
  })

  test('small modules are told with their dots at 203 and 300 dpi', () => {
    const form = { shape: 'roll', name: 'Small', labelWidthMm: 30, labelHeightMm: 14 } as const
    const [warning] = lay({ form, labels: [exampleFieldTag(0, { lines: [] })] }).warnings
    expect(warning?.code).toBe('module_small')
    expect(warning?.message).toMatch(/0\.38 mm, 3 printer dots at 203 dpi and 4\.4 at 300 dpi/)
  })

  test('letters that the fonts lack, and writing from right to left, are told by name', () => {
    const form = BUILT_IN_FORMS['roll-100x70']
    if (form === undefined) throw new Error('the form is gone')
    const lines = ['漢 lot', 'גפן 12', 'Łódź ბადაგი Ψ я']
    const layout = lay({ form, labels: [exampleFieldTag(0, { lines })] })
    expect(layout.unprintable).toEqual([
      { labelIndex: 0, text: '漢 lot', characters: ['漢'] },
      { labelIndex: 0, text: 'גפן 12', characters: ['ג', 'פ', 'ן'] },
    ])
  })

  test('a request with a wrong code, host or empty text is refused with the reason', () => {
    const form = BUILT_IN_FORMS['roll-100x70']
    const issuesOf = (label: object) => {
      const read = labelRequestSchema.safeParse({ form, labels: [label], preparedAt: EXAMPLE_TIME })
      return read.error?.issues.map((issue) => issue.message)
    }
    expect(issuesOf(exampleFieldTag(0, { code: 'ABC' }))).toEqual([
      '"ABC" is not a tag code: eleven characters, right check',
    ])
    expect(issuesOf(exampleLeavingLabel(0, { host: 'a b' }))).toEqual([
      '"a b" is not a host name like tags.example.org',
    ])
    expect(issuesOf(exampleFieldTag(0, { lines: ['  '] }))).toEqual([
      'leave an empty text out instead',
    ])
    expect(issuesOf(exampleFieldTag(0, { lines: ['lot \u202e41'] }))).toEqual([
      'this text holds a character that does not print',
    ])
  })
})

function textsOf(label: PlacedLabel | undefined): string[] {
  return (label?.texts ?? []).flatMap((block) => block.lines.map((line) => line.text))
}

/** Without spaces, and without the hyphens between the groups of a code. */
function squeeze(text: string): string {
  return text.replace(/[\s-]/gu, '')
}

function expectWhole(value: number): void {
  expect(Math.abs(value - Math.round(value))).toBeLessThan(1e-6)
}
