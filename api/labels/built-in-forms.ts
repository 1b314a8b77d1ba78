// A few label forms that come with Canemark; a nursery adds its own.
import { PAGE_SIZES, labelFormSchema, type LabelForm } from './forms.ts'

/** Sheet labels drift more under the print head than labels on a roll, so more stays blank. */
const SHEET_INSET_MM = 2
const ROLL_INSET_MM = 1

/** The built-in forms by id. Sizes are round figures of our own; measure your own stock. */
export const BUILT_IN_FORMS: Readonly<Record<string, LabelForm>> = {
  'sheet-a4-3x8': sheet('A4', 3, 8, 70, 36),
  'sheet-a4-2x4': sheet('A4', 2, 4, 105, 74),
  'sheet-a4-2x10': sheet('A4', 2, 10, 100, 28),
  'sheet-letter-3x8': sheet('Letter', 3, 8, 70, 34),
  'sheet-letter-2x4': sheet('Letter', 2, 4, 105, 68),
  'roll-50x25': roll(50, 25),
  'roll-100x25': roll(100, 25),
  'roll-200x25': roll(200, 25),
  'roll-100x70': roll(100, 70),
  'roll-100x100': roll(100, 100),
}

function roll(labelWidthMm: number, labelHeightMm: number): LabelForm {
  return labelFormSchema.parse({
    shape: 'roll',
    name: `Roll ${labelWidthMm} × ${labelHeightMm} mm`,
    labelWidthMm,
    labelHeightMm,
    insetMm: ROLL_INSET_MM,
  })
}

/** A grid without gaps in the middle of the page. */
function sheet(
  page: keyof typeof PAGE_SIZES,
  columns: number,
  rows: number,
  labelWidthMm: number,
  labelHeightMm: number,
): LabelForm {
  const { widthMm, heightMm } = PAGE_SIZES[page]
  return labelFormSchema.parse({
    shape: 'sheet',
    name: `Sheet ${page}, ${columns} × ${rows}, ${labelWidthMm} × ${labelHeightMm} mm`,
    pageWidthMm: widthMm,
    pageHeightMm: heightMm,
    marginLeftMm: (widthMm - columns * labelWidthMm) / 2,
    marginTopMm: (heightMm - rows * labelHeightMm) / 2,
    columns,
    rows,
    labelWidthMm,
    labelHeightMm,
    insetMm: SHEET_INSET_MM,
  })
}
