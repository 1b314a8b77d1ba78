// Splits CSV text into the lines and cells that the spreadsheet showed, and guesses the separator.
import { CsvError, parse } from 'csv-parse/sync'
import { recognisedHeadings } from './block-csv-header.ts'
import { shownValue } from './block-csv-cells.ts'
import { CSV_LINES_LIMIT, type CsvProblem, type CsvSeparator } from './block-csv-types.ts'

/** One line of the sheet; `line` is the number the spreadsheet shows beside it. */
export interface SheetLine {
  line: number
  cells: string[]
}

export interface Sheet {
  separator: CsvSeparator
  lines: SheetLine[]
  problems: CsvProblem[]
  notes: string[]
}

/** How many lines from the top may hold the headings. */
export const HEADING_SEARCH_LINES = 10

/** How many of the cells of a line are headings of the kind of file that is read. */
export type Recognised = (cells: readonly string[]) => number

/**
 * Splits the text at the separator under which most headings are known. A quotation mark that is
 * not closed is named by its line, and the other lines are read all the same.
 */
export function readSheet(text: string, recognised: Recognised = recognisedHeadings): Sheet {
  const notes: string[] = []
  let body = text
  let separator: CsvSeparator | null = null
  const announced = /^sep=([,;\t])(?:\r\n|\n|\r)/i.exec(text)
  if (announced !== null) {
    separator = announced[1] as CsvSeparator
    body = text.slice(announced[0].length)
    notes.push('The file names its separator in a first line “sep=”; that line is not counted.')
  }
  separator ??= chooseSeparator(body, recognised)
  const problems: CsvProblem[] = []
  const lines = splitWhole(body, separator) ?? splitByLine(body, separator, problems)
  if (lines.length > CSV_LINES_LIMIT) {
    problems.push({
      line: CSV_LINES_LIMIT + 1,
      column: null,
      value: '',
      message: `The file has ${lines.length} lines; at most ${CSV_LINES_LIMIT} are read.`,
      remedy: 'Delete blank lines at the end of the sheet, or split the block into several files.',
    })
    lines.length = CSV_LINES_LIMIT
  }
  for (const line of lines) problems.push(...swallowedLines(line, separator))
  return { separator, lines, problems, notes }
}

const separators: readonly CsvSeparator[] = [',', ';', '\t']

function chooseSeparator(text: string, recognised: Recognised): CsvSeparator {
  const top = text.split(/\r\n|\n|\r/, HEADING_SEARCH_LINES)
  let best: CsvSeparator = ','
  let bestScore = -1
  for (const candidate of separators) {
    const score = Math.max(...top.map((line) => separatorScore(line, candidate, recognised)))
    if (score > bestScore) {
      best = candidate
      bestScore = score
    }
  }
  return best
}

// Known headings count most; the number of cells decides where no heading is known.
function separatorScore(line: string, separator: CsvSeparator, recognised: Recognised): number {
  const cells = parseCells(line, separator)?.[0] ?? line.split(separator)
  return recognised(cells) * 1000 + Math.min(cells.length, 999)
}

function splitWhole(text: string, separator: CsvSeparator): SheetLine[] | null {
  const records = parseCells(text, separator)
  return records === null ? null : records.map((cells, index) => ({ line: index + 1, cells }))
}

function splitByLine(text: string, separator: CsvSeparator, problems: CsvProblem[]): SheetLine[] {
  const lines: SheetLine[] = []
  for (const [index, source] of text.split(/\r\n|\n|\r/).entries()) {
    const cells = source === '' ? [] : parseCells(source, separator)?.[0]
    if (cells !== undefined) {
      lines.push({ line: index + 1, cells })
      continue
    }
    problems.push({
      line: index + 1,
      column: null,
      value: shownValue(source),
      message: 'A quotation mark in this line is opened and not closed, or stands inside a cell.',
      remedy: 'Remove the quotation mark, or write it twice and put the whole cell in quotes.',
    })
  }
  return lines
}

function parseCells(text: string, separator: CsvSeparator): string[][] | null {
  try {
    return parse(text, {
      delimiter: separator,
      record_delimiter: ['\r\n', '\n', '\r'],
      relax_column_count: true,
      skip_empty_lines: false,
    })
  } catch (error) {
    if (error instanceof CsvError) return null
    throw error
  }
}

// A missing quotation mark can pair with one further down; the lines between would vanish inside
// a cell that nobody reads.
function swallowedLines(line: SheetLine, separator: CsvSeparator): CsvProblem[] {
  return line.cells.flatMap((cell) => {
    const [, ...later] = cell.split(/\r\n|\n|\r/)
    if (!later.some((part) => part.includes(separator))) return []
    return {
      line: line.line,
      column: null,
      value: shownValue(cell),
      message: `A cell of this line runs over ${later.length + 1} lines and holds separators.`,
      remedy:
        'A quotation mark is probably missing or one too many, so that rows hide inside the ' +
        'cell. Correct it; where the text is meant, take its line breaks out.',
    }
  })
}
