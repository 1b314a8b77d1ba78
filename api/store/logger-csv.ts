// Reads the bytes of a logger's CSV file into readings, and names every line that cannot be used.
import type { LoggerLayoutShape } from '#wire/kinds/climate.ts'
import { decodeCsv } from '../nursery/block-csv-decode.ts'
import type { CsvProblem } from '../nursery/block-csv-types.ts'
import { guessLayout, headerNames } from './logger-csv-guess.ts'
import { readLines } from './logger-csv-lines.ts'
import { cellsOf, linesOf } from './logger-csv-sheet.ts'
import { LOGGER_BYTES_LIMIT, LOGGER_LINES_LIMIT } from './logger-csv-types.ts'
import type { CsvColumn, LoggerCsvOptions, LoggerCsvResult } from './logger-csv-types.ts'

/**
 * Reads a file. Nothing is thrown for a bad one: every line that cannot be used is a problem with
 * its place and remedy. Nothing is filled in or smoothed.
 */
export function parseLoggerCsv(bytes: Uint8Array, options: LoggerCsvOptions): LoggerCsvResult {
  const decoded = decodeCsv(bytes, sizeLimit)
  if (!decoded.ok) return nothing([decoded.problem], null, [])
  const lines = linesOf(decoded.text)
  if (lines.length > LOGGER_LINES_LIMIT) {
    return nothing([tooManyLines(lines.length)], decoded.encoding, decoded.notes)
  }
  const guess = options.layout === null ? guessLayout(lines, options.zone) : null
  const layout = options.layout ?? guess?.layout ?? null
  if (layout === null) return nothing([noReadings(lines)], decoded.encoding, decoded.notes)
  const read = readLines(lines, layout, options)
  return {
    ...read,
    layout,
    columns: columnsOf(lines, layout),
    notes: [...decoded.notes, ...(guess?.notes ?? []), ...read.notes],
    encoding: decoded.encoding,
  }
}

const sizeLimit = {
  bytes: LOGGER_BYTES_LIMIT,
  remedy: 'Export the logger in parts, say a year or a quarter at a time, and read each in.',
}

function nothing(
  problems: CsvProblem[],
  encoding: LoggerCsvResult['encoding'],
  notes: string[],
): LoggerCsvResult {
  return {
    layout: null,
    columns: [],
    readings: [],
    problems,
    problemCount: problems.length,
    fileProblem: true,
    leftOut: 0,
    notes,
    encoding,
  }
}

function columnsOf(lines: readonly string[], layout: LoggerLayoutShape): CsvColumn[] {
  const names = headerNames(lines, layout.headerLines, layout.separator)
  const first = cellsOf(lines[layout.headerLines] ?? '', layout.separator)
  return Array.from({ length: Math.max(names.length, first.length) }, (_, nr) => ({
    number: nr + 1,
    name: names[nr] ?? '',
  }))
}

function tooManyLines(count: number): CsvProblem {
  return {
    line: LOGGER_LINES_LIMIT + 1,
    column: null,
    value: '',
    message: `The file has ${count} lines; at most ${LOGGER_LINES_LIMIT} are read at a time.`,
    remedy: sizeLimit.remedy,
  }
}

function noReadings(lines: readonly string[]): CsvProblem {
  return {
    line: null,
    column: null,
    value: (lines[0] ?? '').slice(0, 80),
    message: 'No line of the file has a date, a time and a temperature that could be found.',
    remedy: 'Export the readings as CSV with one line for each: date, time, temperature.',
  }
}
