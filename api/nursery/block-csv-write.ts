// Writes a block's rows as CSV in the columns that the reader knows, for spreadsheets.
import { stringify } from 'csv-stringify/sync'
import { guardedText } from './cell-text.ts'
import { headingOf, type ColumnName } from './block-csv-header.ts'
import { writePositionList } from './position-list.ts'
import type { CsvSeparator, ParsedRow, ParsedSection } from './block-csv-types.ts'

/**
 * Writes rows in block order, one line for each section, positions counted from the head, as
 * UTF-8 with byte order mark and CRLF. Texts that a spreadsheet would take for a formula are
 * guarded by an apostrophe, which the reader takes off. Reading the file back gives the same
 * rows, numbered on from 1; places in no section and not missing become a section of their own,
 * without a trunk.
 */
export function blockToCsv(rows: readonly ParsedRow[], separator: CsvSeparator = ','): string {
  const ordered = [...rows].sort((left, right) => left.sequence - right.sequence)
  const lines = ordered.flatMap((row) => rowLines(row))
  return stringify([writtenColumns.map(headingOf), ...lines], {
    bom: true,
    delimiter: separator,
    record_delimiter: '\r\n',
    escape_formulas: true,
  })
}

const writtenColumns: readonly ColumnName[] = [
  'row',
  'from',
  'to',
  'missing',
  'rootstock',
  'rootstockClone',
  'interstock',
  'interstockClone',
  'planted',
  'rowPositions',
]

function rowLines(row: ParsedRow): string[][] {
  return wholeRow(row).map((section, index) => [
    guardedText(row.label),
    `${section.fromPosition}`,
    `${section.toPosition}`,
    index === 0 ? writePositionList(row.missing) : '',
    guardedText(section.rootstock?.name ?? ''),
    guardedText(section.rootstock?.clone ?? ''),
    guardedText(section.interstock?.name ?? ''),
    guardedText(section.interstock?.clone ?? ''),
    section.plantedYear === null ? '' : `${section.plantedYear}`,
    `${row.positionCount}`,
  ])
}

function wholeRow(row: ParsedRow): ParsedSection[] {
  const missing = new Set(row.missing)
  const sections = [...row.sections].sort((left, right) => left.fromPosition - right.fromPosition)
  const whole: ParsedSection[] = []
  let next = 1
  for (const section of [...sections, null]) {
    const end = section === null ? row.positionCount : section.fromPosition - 1
    const open = range(next, end).filter((position) => !missing.has(position))
    const [first] = open
    const last = open.at(-1)
    if (first !== undefined && last !== undefined) whole.push(withoutTrunk(first, last))
    if (section === null) break
    whole.push(section)
    next = section.toPosition + 1
  }
  return whole.length > 0 ? whole : [withoutTrunk(1, row.positionCount)]
}

function withoutTrunk(fromPosition: number, toPosition: number): ParsedSection {
  return { fromPosition, toPosition, plantedYear: null, rootstock: null, interstock: null }
}

function range(from: number, to: number): number[] {
  return Array.from({ length: Math.max(0, to - from + 1) }, (_, index) => from + index)
}
