// Reads a CSV file that describes a block's rows, as a spreadsheet saves it.
import { decodeCsv } from './block-csv-decode.ts'
import { readHeader, recognisedHeadings } from './block-csv-header.ts'
import { readLine, type LineFacts } from './block-csv-line.ts'
import { assembleRows } from './block-csv-rows.ts'
import { HEADING_SEARCH_LINES, readSheet, type SheetLine } from './block-csv-sheet.ts'
import { shownValue, tidySpace } from './block-csv-cells.ts'
import { varietyFinder } from './variety-match.ts'
import type { BlockCsvOptions, BlockCsvResult, CsvProblem } from './block-csv-types.ts'

/**
 * Reads a block's rows from the bytes of a CSV file. Nothing is thrown for a bad file: every bad
 * cell, line or heading is a problem with its place and remedy, and `rows` leaves out the rows
 * that have one; import only when there is none. Several lines with one row label are sections of
 * that row with different trunks.
 */
export function parseBlockCsv(bytes: Uint8Array, options: BlockCsvOptions): BlockCsvResult {
  const decoded = decodeCsv(bytes)
  if (!decoded.ok) {
    return { rows: [], problems: [decoded.problem], notes: [], encoding: null, separator: null }
  }
  const sheet = readSheet(decoded.text)
  const problems: CsvProblem[] = [...sheet.problems]
  const notes = [...decoded.notes, ...sheet.notes]
  const rows = readRows(sheet.lines, options, problems, notes)
  problems.sort((left, right) => (left.line ?? 0) - (right.line ?? 0))
  const { encoding } = decoded
  return { rows, problems, notes, encoding, separator: sheet.separator }
}

function readRows(
  sheet: readonly SheetLine[],
  options: BlockCsvOptions,
  problems: CsvProblem[],
  notes: string[],
): BlockCsvResult['rows'] {
  const filled = sheet.filter((line) => line.cells.some((cell) => tidySpace(cell) !== ''))
  const [headerLine, ...body] = filled
  if (headerLine === undefined) {
    if (problems.length === 0) problems.push(onlyBlankCells)
    return []
  }
  const buried = buriedHeader(filled)
  if (buried !== null) {
    problems.push(buried)
    return []
  }
  const read = readHeader(headerLine)
  notes.push(...read.notes)
  problems.push(...read.problems)
  const { columns } = read.header
  if (!columns.has('row') || !(columns.has('to') || columns.has('vines'))) return []
  if (body.length === 0 && problems.length === 0) problems.push(onlyHeadings(headerLine))
  const reading = {
    header: read.header,
    findVariety: varietyFinder(options.knownVarieties),
    currentYear: options.currentYear,
    problems,
    notes,
  }
  const lines = body.flatMap((line) => readLine(line, reading) ?? [])
  noteOrder(lines, notes)
  if (columns.has('vines') && lines.some((line) => line.missing.length > 0)) {
    notes.push('Under vines, places without a vine were counted too, as listed under missing.')
  }
  return assembleRows(lines, options.rowsNumberedFrom, read.header, problems)
}

function buriedHeader(filled: readonly SheetLine[]): CsvProblem | null {
  const [first, ...below] = filled.slice(0, HEADING_SEARCH_LINES)
  if (first === undefined || recognisedHeadings(first.cells) > 0) return null
  const found = below.find((line) => recognisedHeadings(line.cells) > 1)
  if (found === undefined) return null
  return {
    line: first.line,
    column: null,
    value: shownValue(first.cells.join(' | ')),
    message: `The headings stand in line ${found.line}; there is other text above them.`,
    remedy: `Delete the lines above line ${found.line}, so that the headings are the first line.`,
  }
}

const onlyBlankCells: CsvProblem = {
  line: null,
  column: null,
  value: '',
  message: 'The file holds only blank cells.',
  remedy: 'Save the sheet that holds the rows as CSV.',
}

function onlyHeadings(header: SheetLine): CsvProblem {
  return {
    line: header.line,
    column: null,
    value: '',
    message: 'The file holds headings but no row.',
    remedy: 'Write one line for each row under the headings, and save again.',
  }
}

// Rows take the file's order; a file sorted as text (1, 10, 11, 2) would put them wrong.
function noteOrder(lines: readonly LineFacts[], notes: string[]): void {
  const numbers = lines.map((line) => /^\d+/.exec(line.label)?.[0]).map(Number)
  const steps = numbers.slice(1).map((number, index) => number - (numbers[index] ?? Number.NaN))
  if (!steps.some((step) => step > 0) || !steps.some((step) => step < 0)) return
  notes.push('The row numbers go up and down. Rows were taken in the order of the file.')
}
