// What a logger's file is read into: readings with their lines, and every problem by its place.
import type { LoggerLayoutShape } from '#wire/kinds/climate.ts'
import type { CsvEncoding, CsvProblem } from '../nursery/block-csv-types.ts'

/** Largest file that is read, in bytes: more than a year at one reading a minute, cut short. */
export const LOGGER_BYTES_LIMIT = 8 * 1024 * 1024
/** Most lines of one file: four years at five minutes. */
export const LOGGER_LINES_LIMIT = 450_000
/** Most problems that are named one by one; the rest are counted. */
export const LOGGER_PROBLEMS_LIMIT = 500

export interface LoggerCsvOptions {
  /** What a person chose or an earlier import remembered; null to guess. */
  readonly layout: LoggerLayoutShape | null
  /** The zone to take where the file names none and nobody chose. */
  readonly zone: string
  /** Epoch milliseconds; later readings are problems. */
  readonly now: number
  /** Has a person said that it really was as warm as it looks? */
  readonly warmIsRight: boolean
  /** Has a person chosen to leave out lines that cannot be used? */
  readonly leaveOut: boolean
}

/** One reading and the line it stands in, counted from 1. */
export interface CsvReading {
  readonly line: number
  readonly at: number
  readonly centiC: number
  readonly humidityTenths: number | null
}

/** One column as the file names it, for the person who corrects the guess; `number` from 1. */
export interface CsvColumn {
  readonly number: number
  readonly name: string
}

export interface LoggerCsvResult {
  /** How the file was read; null where nothing in it looks like readings. */
  readonly layout: LoggerLayoutShape | null
  readonly columns: readonly CsvColumn[]
  /** In order of time. Import only when there is no problem. */
  readonly readings: readonly CsvReading[]
  readonly problems: readonly CsvProblem[]
  /** All problems, also those that are not named. */
  readonly problemCount: number
  /** Problems of the file, not of single lines: leaving lines out does not mend them. */
  readonly fileProblem: boolean
  /** Lines left out because a person chose so. */
  readonly leftOut: number
  readonly notes: readonly string[]
  readonly encoding: CsvEncoding | null
}
