// A crew's paper sheet for one row: which vines were grafted, in which order, which passed over.
import type { EntryBody } from '#wire/entry.ts'
import type { Draft } from '../journal/desk.ts'
import { writePositionList } from '../nursery/position-list.ts'
import { stretchProblems } from '../nursery/row-checks.ts'
import type { RowNow } from '../nursery/read-blocks.ts'
import type { FieldProblem } from '../platform/errors.ts'
import { readPositionWords } from './position-words.ts'
import type { RowReading } from './read.ts'
import type { SeasonOf } from './season.ts'
import { stoodAt } from './vine-record.ts'

/** The end of the row from which the sheet counts its positions. */
export type CountedFrom = 'head' | 'far'

/** The stretch as the sheet writes it; `fromPosition` is where the crew began. */
export type SheetStretch = {
  fromPosition: number
  toPosition: number
  countedFrom: CountedFrom
  /** Like “4 too thin; 17 missing”, counted from the same end. */
  skipped: string
}

/** Positions counted from the head, in the order of the work. */
export type SheetVines = {
  grafted: number[]
  skipped: { position: number; reason: string }[]
}

/**
 * Works out the vines of a sheet. Without a problem, every position of the stretch is either
 * grafted or skipped.
 */
export function sheetVines(
  row: Pick<RowNow, 'label' | 'position_count'>,
  stretch: SheetStretch,
): { vines: SheetVines | null; problems: FieldProblem[] } {
  const problems = stretchProblems(row, stretch)
  const read = readPositionWords(stretch.skipped, 'write it like 4 too thin; 17 missing')
  if (!read.ok) problems.push({ field: 'skipped', message: read.message })
  if (problems.length > 0 || !read.ok) return { vines: null, problems }
  const order = inOrder(stretch.fromPosition, stretch.toPosition)
  const reasons = new Map(
    read.parts.flatMap(({ positions, words }) => positions.map((at) => [at, words] as const)),
  )
  const outside = [...reasons.keys()].filter((position) => !order.includes(position))
  if (outside.length > 0) {
    const message =
      `${writePositionList(outside)} ${outside.length === 1 ? 'lies' : 'lie'} outside ` +
      `${stretch.fromPosition} to ${stretch.toPosition}: correct the list or the stretch`
    return { vines: null, problems: [{ field: 'skipped', message }] }
  }
  const fromHead = (position: number) =>
    stretch.countedFrom === 'head' ? position : row.position_count + 1 - position
  const vines: SheetVines = { grafted: [], skipped: [] }
  for (const counted of order) {
    const reason = reasons.get(counted)
    const position = fromHead(counted)
    if (reason === undefined) vines.grafted.push(position)
    else vines.skipped.push({ position, reason })
  }
  if (vines.grafted.length > 0) return { vines, problems }
  const message = 'every vine of the stretch is skipped: then there is no graft to record'
  return { vines: null, problems: [{ field: 'skipped', message }] }
}

/** What the record of the row says against the sheet. Positions count from the head. */
export function sheetProblems(
  reading: RowReading,
  vines: SheetVines,
  sheet: { at: Date; further: boolean; countedFrom: CountedFrom },
  seasonOf: SeasonOf,
): FieldProblem[] {
  const records = new Map(reading.records.map((record) => [record.position, record]))
  const far = (position: number) =>
    sheet.countedFrom === 'head' ? position : reading.facts.row.position_count + 1 - position
  const listed = (positions: number[]) =>
    writePositionList(positions.map(far).sort((one, other) => one - other))
  const problems: FieldProblem[] = []
  const gone = vines.grafted.filter((position) => {
    const record = records.get(position)
    return record === undefined || !stoodAt(record, sheet.at.getTime())
  })
  if (gone.length > 0) {
    const one = gone.length === 1
    const message =
      `no vine stood at ${listed(gone)}: add “${listed(gone)} missing” here, or correct the row ` +
      `where ${one ? 'one stands' : 'they stand'}`
    problems.push({ field: 'skipped', message })
  }
  const again = vines.grafted.filter((position) =>
    (records.get(position)?.lives.at(-1)?.grafts ?? []).some(
      (graft) =>
        seasonOf(graft.grafted_at) === seasonOf(sheet.at) &&
        graft.removed_at === null &&
        reading.vines[position - 1]?.state !== 'failed',
    ),
  )
  if (again.length > 0 && !sheet.further) {
    const message =
      `${listed(again)} ${again.length === 1 ? 'was' : 'were'} grafted this season already: ` +
      'tick this if these are further buds on the same vines, or check that the sheet is not ' +
      'entered twice'
    problems.push({ field: 'further', message })
  }
  return problems
}

/** What every graft of a sheet has in common. */
export type SheetGraft = Omit<EntryBody<'graft.made'>, 'vine'>

/** The entries of a sheet, vine after vine in the order of the work. */
export function sheetDrafts(
  rowId: string,
  vines: SheetVines,
  graft: SheetGraft,
  occurredAt: Date,
): Draft[] {
  const grafts = vines.grafted.map((position): Draft => {
    return { kind: 'graft.made', occurredAt, body: { ...graft, vine: { rowId, position } } }
  })
  const skips = vines.skipped.map(({ position, reason }): Draft => {
    return { kind: 'vine.skipped', occurredAt, body: { vine: { rowId, position }, reason } }
  })
  return [...grafts, ...skips]
}

function inOrder(from: number, to: number): number[] {
  const step = from <= to ? 1 : -1
  return Array.from({ length: Math.abs(to - from) + 1 }, (_, nr) => from + nr * step)
}
