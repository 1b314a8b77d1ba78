// What the desk refuses about the layout of rows, about plantings, removals and plans.
import type { EntryBody } from '#wire/entry.ts'
import type { FieldProblem } from '../platform/errors.ts'
import { foldName } from './closest-name.ts'
import { writePositionList } from './position-list.ts'
import type { RowNow } from './read-blocks.ts'

type Layout = EntryBody<'row.laid_out'>

/**
 * The problems of one layout among the other rows of its block. `lastGrafted` is the highest
 * position that a graft is recorded at. Sections have fields of their own: `s0_to` and so on.
 */
export function layoutProblems(
  layout: Layout,
  others: readonly RowNow[],
  lastGrafted: number,
): FieldProblem[] {
  const problems: FieldProblem[] = []
  const twin = others.find(
    (row) => row.row_id !== layout.rowId && foldName(row.label) === foldName(layout.label),
  )
  if (twin !== undefined && layout.label !== '') {
    const message = `the block has a row ${twin.label} already: choose another label`
    problems.push({ field: 'label', message })
  }
  if (lastGrafted > layout.positionCount) {
    const message =
      `grafts are recorded up to position ${lastGrafted}: give at least as many positions, ` +
      'or withdraw those grafts first'
    problems.push({ field: 'positionCount', message })
  }
  problems.push(...missingProblems(layout), ...sectionProblems(layout))
  return problems
}

/** Missing places lie in the row. */
export function missingProblems(layout: {
  positionCount: number
  missing: readonly number[]
}): FieldProblem[] {
  const outside = layout.missing.filter((position) => position > layout.positionCount)
  if (outside.length === 0) return []
  const message =
    `the row has ${layout.positionCount} positions; ${writePositionList(outside)} ` +
    `${outside.length === 1 ? 'is' : 'are'} outside it: correct the list or the number`
  return [{ field: 'missing', message }]
}

function sectionProblems({ sections, positionCount }: Layout): FieldProblem[] {
  const problems: FieldProblem[] = []
  for (const [nr, section] of sections.entries()) {
    const { fromPosition, toPosition } = section
    if (toPosition > positionCount) {
      const message = `the row has only ${positionCount} positions: end the stretch there`
      problems.push({ field: `s${nr}_to`, message })
    }
    if (toPosition < fromPosition) {
      const message = `the stretch ends at ${toPosition}, before it begins: swap the two`
      problems.push({ field: `s${nr}_to`, message })
    }
    const clash = sections.findIndex(
      (other, place) =>
        place < nr && other.fromPosition <= toPosition && fromPosition <= other.toPosition,
    )
    if (clash !== -1) {
      const message = `this stretch overlaps stretch ${clash + 1}: each vine has one trunk`
      problems.push({ field: `s${nr}_from`, message })
    }
  }
  return problems
}

/** A stretch of positions lies in the row. */
export function stretchProblems(
  row: Pick<RowNow, 'label' | 'position_count'>,
  stretch: { fromPosition: number; toPosition: number },
): FieldProblem[] {
  const problems: FieldProblem[] = []
  for (const field of ['fromPosition', 'toPosition'] as const) {
    if (stretch[field] <= row.position_count) continue
    const size = `row ${row.label} has ${row.position_count} positions`
    const message = `${size}; ${stretch[field]} is beyond its end`
    problems.push({ field, message })
  }
  return problems
}

/** A plan's stretch lies in the row and runs forwards. */
export function planProblems(
  row: Pick<RowNow, 'label' | 'position_count'>,
  plan: { fromPosition: number; toPosition: number },
): FieldProblem[] {
  const problems = stretchProblems(row, plan)
  if (problems.length === 0 && plan.toPosition < plan.fromPosition) {
    const message = `the stretch ends at ${plan.toPosition}, before it begins: swap the two`
    return [{ field: 'toPosition', message }]
  }
  return problems
}
