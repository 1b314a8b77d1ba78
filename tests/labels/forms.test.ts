// Label forms: labels lie where they are said to lie, and forms that do not fit are refused.
import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import { BUILT_IN_FORMS } from '../../api/labels/built-in-forms.ts'
import {
  PAGE_SIZES,
  labelFormSchema,
  labelSlot,
  labelsPerPage,
  pageSize,
  type LabelForm,
} from '../../api/labels/forms.ts'

const sheet = {
  shape: 'sheet',
  name: 'Our sheet',
  pageWidthMm: 210,
  pageHeightMm: 297,
  marginLeftMm: 5,
  marginTopMm: 10,
  columns: 2,
  rows: 5,
  gapXMm: 4,
  gapYMm: 2,
  labelWidthMm: 98,
  labelHeightMm: 50,
}

describe('label forms', () => {
  // A4: ISO 216. Letter: 8.5 × 11 inches at 25.4 mm.
  test('the named pages have their published sizes', () => {
    expect(PAGE_SIZES.A4).toEqual({ widthMm: 210, heightMm: 297 })
    expect(PAGE_SIZES.Letter.widthMm).toBeCloseTo(8.5 * 25.4, 9)
    expect(PAGE_SIZES.Letter.heightMm).toBeCloseTo(11 * 25.4, 9)
  })

  test.each(Object.entries(BUILT_IN_FORMS))(
    '%s is a form that its own check accepts',
    (_, form) => {
      expect(labelFormSchema.parse(form)).toEqual(form)
    },
  )

  test('labels run along the row, then down, then over the page, with their gaps', () => {
    const form = labelFormSchema.parse(sheet)
    expect(labelsPerPage(form)).toBe(10)
    expect(labelSlot(form, 0)).toEqual({ page: 0, xMm: 5, yMm: 10 })
    expect(labelSlot(form, 1)).toEqual({ page: 0, xMm: 107, yMm: 10 })
    expect(labelSlot(form, 2)).toEqual({ page: 0, xMm: 5, yMm: 62 })
    expect(labelSlot(form, 9)).toEqual({ page: 0, xMm: 107, yMm: 218 })
    expect(labelSlot(form, 10)).toEqual({ page: 1, xMm: 5, yMm: 10 })
  })

  test('on a roll every label is a page of its own size', () => {
    const form = labelFormSchema.parse({
      shape: 'roll',
      name: 'Roll',
      labelWidthMm: 100,
      labelHeightMm: 25,
    })
    expect(pageSize(form)).toEqual({ widthMm: 100, heightMm: 25 })
    expect(labelSlot(form, 7)).toEqual({ page: 7, xMm: 0, yMm: 0 })
  })

  test('every label of an accepted sheet lies on the page and touches no other', () => {
    fc.assert(
      fc.property(anySheet(), (candidate) => {
        const read = labelFormSchema.safeParse(candidate)
        fc.pre(read.success)
        if (read.success) expectApart(read.data)
      }),
      { numRuns: 300 },
    )
  })

  test.each([
    [
      { columns: 3 },
      'columns',
      '3 columns of 98 mm with gaps of 4 mm and a left margin of 5 mm need 307 mm, but the page ' +
        'is 210 mm wide: 97 mm too much. Take fewer columns, smaller labels, or a smaller gap ' +
        'or margin.',
    ],
    [{ rows: 6 }, 'rows', /6 rows of 50 mm .* need 320 mm, but the page is 297 mm high: 23 mm/],
    [{ marginTopMm: 40 }, 'rows', /top margin of 40 mm need 298 mm.*1 mm too much/],
    [{ insetMm: 20, labelHeightMm: 45 }, 'insetMm', /leaves less than 8 mm to print on/],
    [{ labelWidthMm: 5 }, 'labelWidthMm', 'a label side must be at least 8 mm'],
    [{ gapXMm: -1 }, 'gapXMm', 'a length in mm cannot be negative'],
    [{ name: '' }, 'name', 'a label form needs a name'],
  ])('%o is refused at "%s", saying how to mend it', (change, field, message) => {
    const read = labelFormSchema.safeParse({ ...sheet, ...change })
    const issues = read.success ? [] : read.error.issues
    expect(issues.map((issue) => issue.path.join('.'))).toEqual([field])
    expect(issues[0]?.message).toMatch(message)
  })
})

function anySheet() {
  const mm = (minimum: number, maximum: number) =>
    fc.integer({ min: minimum * 10, max: maximum * 10 }).map((tenths) => tenths / 10)
  return fc.record({
    shape: fc.constant('sheet' as const),
    name: fc.constant('Any'),
    pageWidthMm: mm(50, 320),
    pageHeightMm: mm(50, 450),
    marginLeftMm: mm(0, 20),
    marginTopMm: mm(0, 20),
    columns: fc.integer({ min: 1, max: 4 }),
    rows: fc.integer({ min: 1, max: 8 }),
    gapXMm: mm(0, 5),
    gapYMm: mm(0, 5),
    labelWidthMm: mm(10, 110),
    labelHeightMm: mm(10, 80),
  })
}

function expectApart(form: LabelForm): void {
  const page = pageSize(form)
  const slots = Array.from({ length: labelsPerPage(form) }, (_, at) => labelSlot(form, at))
  for (const [at, slot] of slots.entries()) {
    expect(slot.page).toBe(0)
    expect(slot.xMm + form.labelWidthMm).toBeLessThanOrEqual(page.widthMm + 0.05)
    expect(slot.yMm + form.labelHeightMm).toBeLessThanOrEqual(page.heightMm + 0.05)
    for (const other of slots.slice(at + 1)) {
      const besides = Math.abs(other.xMm - slot.xMm) >= form.labelWidthMm - 1e-9
      const under = Math.abs(other.yMm - slot.yMm) >= form.labelHeightMm - 1e-9
      expect(besides || under).toBe(true)
    }
  }
}
