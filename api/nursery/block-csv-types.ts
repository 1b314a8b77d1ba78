// What a block's CSV file is read into: rows, trunk sections, and every problem by its place.

/** Largest file that is read, in bytes; a block at every limit of rows needs about 1 MB. */
export const CSV_BYTES_LIMIT = 2 * 1024 * 1024
/** Most lines of one file. */
export const CSV_LINES_LIMIT = 20_000
/** Longest row label, in characters, as the journal accepts it. */
export const ROW_LABEL_LIMIT = 20
/** Longest part of a cell that a problem repeats, in characters. */
export const SHOWN_VALUE_LIMIT = 80

/** A variety that the nursery has registered. */
export interface KnownVariety {
  readonly id: string
  readonly name: string
  readonly synonyms: readonly string[]
}

/** One tissue of a trunk: the registered variety name, and the clone as written. */
export interface TrunkPart {
  name: string
  clone: string | null
}

/** A stretch of a row with the same trunk; both positions are part of it, head = 1. */
export interface ParsedSection {
  fromPosition: number
  toPosition: number
  plantedYear: number | null
  rootstock: TrunkPart | null
  interstock: TrunkPart | null
}

/** One row: positions count from 1 at its head; sequence is its place in the block, from 1. */
export interface ParsedRow {
  label: string
  sequence: number
  positionCount: number
  /** Positions without a vine, ascending. */
  missing: number[]
  /** Ascending, never overlapping; what they leave open is listed as missing. */
  sections: ParsedSection[]
}

/** Something wrong in the file: where, what, and how to mend it. */
export interface CsvProblem {
  /** Line number as the spreadsheet shows it; null where the file as a whole is meant. */
  line: number | null
  /** Heading as the file writes it; null where the line as a whole is meant. */
  column: string | null
  /** The cell, shortened, with hidden characters spelled out. */
  value: string
  message: string
  remedy: string
}

export type CsvEncoding =
  | 'UTF-8'
  | 'UTF-8 with byte order mark'
  | 'UTF-16 little-endian'
  | 'UTF-16 big-endian'
  | 'Windows-1252'

export type CsvSeparator = ',' | ';' | '\t'

export interface BlockCsvOptions {
  /** Whether the file's first row is the block's first row or its last. */
  rowsNumberedFrom: 'first' | 'last'
  knownVarieties: readonly KnownVariety[]
  /** The calendar year now; a later planting year is a problem. */
  currentYear: number
}

export interface BlockCsvResult {
  /** The rows without a problem; import them only when `problems` is empty. */
  rows: ParsedRow[]
  problems: CsvProblem[]
  /** What was guessed or left out, for the preview. */
  notes: string[]
  /** Null where the bytes are no text. */
  encoding: CsvEncoding | null
  separator: CsvSeparator | null
}

/** What is wrong with one cell, before its place is known. */
export interface Fault {
  message: string
  remedy: string
}

/** A cell's value, or what is wrong with it. */
export type Reading<Value> = { ok: true; value: Value } | ({ ok: false } & Fault)

/** Makes a refused reading. */
export function refusedCell(message: string, remedy: string): { ok: false } & Fault {
  return { ok: false, message, remedy }
}

/** Makes an accepted reading. */
export function acceptedCell<Value>(read: Value): { ok: true; value: Value } {
  return { ok: true, value: read }
}
