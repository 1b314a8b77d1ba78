// Label forms: the sheets and rolls that labels are printed on, in millimetres, and their checks.
import { z } from 'zod'

/** Smallest side of a label, in mm: below it no symbol fits. */
export const LABEL_SIDE_MINIMUM_MM = 8
/** Longest side of a label or a page, in mm. */
export const PAGE_SIDE_LIMIT_MM = 1000
/** Most labels in one row or one column of a sheet. */
export const SHEET_GRID_LIMIT = 60
/** Widths that miss the page by less than this, in mm, are a matter of rounding. */
const FIT_TOLERANCE_MM = 0.05

/** Page sizes by name, in mm: A4 is ISO 216; Letter is 8.5 × 11 inches (ANSI/ASME Y14.1). */
export const PAGE_SIZES = {
  A4: { widthMm: 210, heightMm: 297 },
  Letter: { widthMm: 215.9, heightMm: 279.4 },
} as const

const lengthMm = z.number().min(0, 'a length in mm cannot be negative').max(PAGE_SIDE_LIMIT_MM)
const labelSideMm = z
  .number()
  .min(LABEL_SIDE_MINIMUM_MM, `a label side must be at least ${LABEL_SIDE_MINIMUM_MM} mm`)
  .max(PAGE_SIDE_LIMIT_MM)
const gridCount = z.int().min(1).max(SHEET_GRID_LIMIT)

const common = {
  /** What people choose it by. */
  name: z.string().min(1, 'a label form needs a name').max(80),
  /** Label size as it lies on the page or comes off the roll, in mm. */
  labelWidthMm: labelSideMm,
  labelHeightMm: labelSideMm,
  /** Strip along every edge of the label that stays blank, in mm: cutting and feeding drift. */
  insetMm: z.number().min(0).max(20).default(1),
}

const sheetShape = z.strictObject({
  shape: z.literal('sheet'),
  ...common,
  pageWidthMm: labelSideMm,
  pageHeightMm: labelSideMm,
  /** From the page's left edge to the first label, in mm. */
  marginLeftMm: lengthMm,
  /** From the page's top edge to the first label, in mm. */
  marginTopMm: lengthMm,
  columns: gridCount,
  rows: gridCount,
  /** Between two labels side by side, in mm. */
  gapXMm: lengthMm.default(0),
  /** Between two labels one above the other, in mm. */
  gapYMm: lengthMm.default(0),
})

const rollShape = z.strictObject({ shape: z.literal('roll'), ...common })

/**
 * A sheet with a grid of labels, or a roll with one label per page. Refuses a form whose labels
 * do not fit on the page, saying by how much and what to change.
 */
export const labelFormSchema = z
  .discriminatedUnion('shape', [sheetShape, rollShape])
  .superRefine((form, context) => {
    for (const issue of findMisfits(form)) {
      context.addIssue({ code: 'custom', path: [issue.field], message: issue.message })
    }
  })

export type LabelForm = z.infer<typeof labelFormSchema>

/** Where one label lies: its page from 0 and its upper left corner on that page, in mm. */
export interface LabelSlot {
  page: number
  xMm: number
  yMm: number
}

/** Labels on one page of the form. */
export function labelsPerPage(form: LabelForm): number {
  return form.shape === 'sheet' ? form.columns * form.rows : 1
}

/** The size of the form's page, in mm; on a roll the page is the label. */
export function pageSize(form: LabelForm): { widthMm: number; heightMm: number } {
  return form.shape === 'sheet'
    ? { widthMm: form.pageWidthMm, heightMm: form.pageHeightMm }
    : { widthMm: form.labelWidthMm, heightMm: form.labelHeightMm }
}

/** The place of the label with this number, counted from 0 row by row, page after page. */
export function labelSlot(form: LabelForm, slotIndex: number): LabelSlot {
  if (form.shape === 'roll') return { page: slotIndex, xMm: 0, yMm: 0 }
  const perPage = labelsPerPage(form)
  const onPage = slotIndex % perPage
  const column = onPage % form.columns
  const row = Math.floor(onPage / form.columns)
  return {
    page: Math.floor(slotIndex / perPage),
    xMm: form.marginLeftMm + column * (form.labelWidthMm + form.gapXMm),
    yMm: form.marginTopMm + row * (form.labelHeightMm + form.gapYMm),
  }
}

function findMisfits(form: LabelForm): { field: string; message: string }[] {
  const misfits: { field: string; message: string }[] = []
  const shortSideMm = Math.min(form.labelWidthMm, form.labelHeightMm)
  const blankMm = 2 * form.insetMm
  const largeEnough = shortSideMm >= LABEL_SIDE_MINIMUM_MM
  if (largeEnough && shortSideMm - blankMm < LABEL_SIDE_MINIMUM_MM) {
    misfits.push({
      field: 'insetMm',
      message:
        `A blank strip of ${mm(form.insetMm)} on both sides of a label of ${mm(shortSideMm)} ` +
        `leaves less than ${LABEL_SIDE_MINIMUM_MM} mm to print on. Take a narrower strip.`,
    })
  }
  if (form.shape === 'roll') return misfits
  const across = {
    field: 'columns',
    count: form.columns,
    what: 'columns',
    sideMm: form.labelWidthMm,
    gapMm: form.gapXMm,
    marginMm: form.marginLeftMm,
    margin: 'left',
    pageMm: form.pageWidthMm,
    page: 'wide',
  }
  const down = {
    field: 'rows',
    count: form.rows,
    what: 'rows',
    sideMm: form.labelHeightMm,
    gapMm: form.gapYMm,
    marginMm: form.marginTopMm,
    margin: 'top',
    pageMm: form.pageHeightMm,
    page: 'high',
  }
  for (const way of [across, down]) {
    const neededMm = way.marginMm + way.count * way.sideMm + (way.count - 1) * way.gapMm
    if (neededMm <= way.pageMm + FIT_TOLERANCE_MM) continue
    misfits.push({
      field: way.field,
      message:
        `${way.count} ${way.what} of ${mm(way.sideMm)} with gaps of ${mm(way.gapMm)} and a ` +
        `${way.margin} margin of ${mm(way.marginMm)} need ${mm(neededMm)}, but the page is ` +
        `${mm(way.pageMm)} ${way.page}: ${mm(neededMm - way.pageMm)} too much. Take fewer ` +
        `${way.what}, smaller labels, or a smaller gap or margin.`,
    })
  }
  return misfits
}

function mm(lengthMm: number): string {
  return `${Math.round(lengthMm * 100) / 100} mm`
}
