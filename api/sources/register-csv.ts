// Reads a CSV file of sources or of their tests into named cells, each bad line with its remedy.
import { decodeCsv } from '../nursery/block-csv-decode.ts'
import { cellFault, shownValue, tidySpace } from '../nursery/block-csv-cells.ts'
import { readSheet } from '../nursery/block-csv-sheet.ts'
import type { SheetLine } from '../nursery/block-csv-sheet.ts'
import type { CsvProblem } from '../nursery/block-csv-types.ts'
import { columnNamed, registerColumns } from './register-csv-columns.ts'
import type { RegisterColumn, RegisterFile } from './register-csv-columns.ts'

/** One line of the file: its cells by column, '' where empty, and its number in the sheet. */
export type RegisterLine = {
  line: number
  cells: Partial<Record<RegisterColumn, string>>
  /** How the file writes the heading of a column. */
  heading: (column: RegisterColumn) => string
}

export type RegisterSheet = { lines: RegisterLine[]; problems: CsvProblem[]; notes: string[] }

/** Most lines of one import: all of it is written in one batch. */
export const REGISTER_LINES_LIMIT = 2000

/**
 * Reads the bytes. Nothing is thrown for a bad file: every bad heading, line and cell is a problem
 * with its place and remedy, and a file with a problem is not to be imported at all.
 */
export function readRegisterCsv(bytes: Uint8Array, file: RegisterFile): RegisterSheet {
  const decoded = decodeCsv(bytes)
  if (!decoded.ok) return { lines: [], problems: [decoded.problem], notes: [] }
  const known = (cells: readonly string[]) =>
    cells.filter((cell) => columnNamed(file, cell) !== null).length
  const sheet = readSheet(decoded.text, known)
  const notes = [...decoded.notes, ...sheet.notes]
  const problems = [...sheet.problems]
  const filled = sheet.lines.filter(({ cells }) => cells.some((cell) => tidySpace(cell) !== ''))
  const [header, ...body] = filled
  if (header === undefined) {
    problems.push(whole('The file holds nothing.', 'Save the sheet as CSV and choose it again.'))
    return { lines: [], problems, notes }
  }
  const columns = readHeadings(header, file, problems, notes)
  if (body.length === 0) {
    problems.push(whole('The file holds headings and no line.', 'Write a line for each.'))
  }
  if (body.length > REGISTER_LINES_LIMIT) {
    const message = `The file has ${body.length} lines; at most ${REGISTER_LINES_LIMIT} are read.`
    problems.push(whole(message, 'Split it into several files.'))
    return { lines: [], problems, notes }
  }
  const lines = body.map((line) => readCells(line, columns, header.cells.length, problems))
  return { lines, problems: problems.sort(byLine), notes }
}

const byLine = (one: CsvProblem, other: CsvProblem) => (one.line ?? 0) - (other.line ?? 0)

function whole(message: string, remedy: string): CsvProblem {
  return { line: null, column: null, value: '', message, remedy }
}

type Columns = Map<RegisterColumn, { index: number; heading: string }>

function readHeadings(
  header: SheetLine,
  file: RegisterFile,
  problems: CsvProblem[],
  notes: string[],
): Columns {
  const columns: Columns = new Map()
  const leftOut: string[] = []
  for (const [index, cell] of header.cells.entries()) {
    const heading = tidySpace(cell)
    if (heading === '') continue
    const named = columnNamed(file, heading)
    if (named === null) leftOut.push(shownValue(heading))
    else if (!columns.has(named.column)) columns.set(named.column, { index, heading })
    else {
      problems.push({
        line: header.line,
        column: heading,
        value: shownValue(heading),
        message: `Two columns mean ${named.headings[0]}.`,
        remedy: 'Keep one of them, or give the other a different heading.',
      })
    }
  }
  const absent = registerColumns[file].filter(
    ({ needed, column }) => needed && !columns.has(column),
  )
  if (absent.length > 0) {
    const all = registerColumns[file].map(({ headings }) => headings[0])
    problems.push({
      line: header.line,
      column: null,
      value: shownValue(header.cells.join(' | ')),
      message: `Not found: ${absent.map(({ headings }) => `“${headings[0]}”`).join(', ')}.`,
      remedy: `Put the headings in the first line: ${all.join(', ')}.`,
    })
  }
  if (leftOut.length > 0) notes.push(`These columns are not read: ${leftOut.join(', ')}.`)
  return columns
}

function readCells(
  source: SheetLine,
  columns: Columns,
  width: number,
  problems: CsvProblem[],
): RegisterLine {
  const cells: RegisterLine['cells'] = {}
  for (const [column, { index, heading }] of columns) {
    const text = tidySpace(source.cells[index] ?? '')
    const fault = text === '' ? null : cellFault(text)
    cells[column] = fault === null ? text : ''
    if (fault === null) continue
    problems.push({ line: source.line, column: heading, value: shownValue(text), ...fault })
  }
  const stray = source.cells.slice(width).find((cell) => tidySpace(cell) !== '')
  if (stray !== undefined) {
    problems.push({
      line: source.line,
      column: null,
      value: shownValue(stray),
      message: 'The line has more cells than there are headings.',
      remedy: 'If a cell holds the separator, put it in quotation marks.',
    })
  }
  return {
    line: source.line,
    cells,
    heading: (column) => columns.get(column)?.heading ?? column,
  }
}
