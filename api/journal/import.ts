// Fills an empty database from an exported journal: the same bytes, order, indexes and times.
import { sql } from 'kysely'
import type { Transaction } from 'kysely'
import { ENTRY_BYTE_LIMIT } from '#wire/api-entries.ts'
import type { Entry } from '#wire/entry.ts'
import type { Database } from '../../db/connect.ts'
import type { Tables } from '../../db/tables.ts'
import { refuse } from '../platform/errors.ts'
import { withdrawalLock } from './ingest.ts'
import { readJournalLine } from './line.ts'
import type { JournalRow } from './line.ts'
import { readEntry } from './read-entry.ts'
import { journalSize } from './read-journal.ts'
import { replay } from './rebuild.ts'
import { settleFindings } from './settle.ts'
import { textLines } from './text-lines.ts'

/** Entries written at a time, and most bytes of them. */
const STEP = 1000
const STEP_BYTES = 8 * 1024 * 1024
/** Longest line: an entry and what stands before it. */
const LINE_BYTE_LIMIT = ENTRY_BYTE_LIMIT + 1000

type Trx = Transaction<Tables>
type Read = { row: JournalRow; entry: Entry }

/**
 * Imports an exported journal (docs/journal-format.md) and builds all facts and findings from it;
 * needs the owner's connection. Returns how many entries were imported. All or nothing: refuses
 * with `journal_not_empty` where entries stand already, and with `damaged_file`, naming the line,
 * what is not exactly as it was exported or ends before its closing line.
 */
export async function importJournal(
  owner: Database,
  chunks: AsyncIterable<Uint8Array>,
): Promise<number> {
  const imported = await owner.transaction().execute((trx) => importIn(trx, chunks))
  await settleFindings(owner)
  return imported
}

/** Does so inside a transaction of the owner, and leaves the findings to be settled after it. */
export async function importIn(trx: Trx, chunks: AsyncIterable<Uint8Array>): Promise<number> {
  await sql`select pg_advisory_xact_lock(${withdrawalLock}::bigint)`.execute(trx)
  await refuseUnlessEmpty(trx)
  const count = await writeLines(trx, chunks)
  await replay(trx)
  return count
}

async function refuseUnlessEmpty(trx: Trx): Promise<void> {
  const size = await journalSize(trx)
  if (size === 0) return
  const detail =
    `this database already holds ${size} entries, and an import only fills an empty one; ` +
    'nothing was changed: make a new database and import there'
  refuse('journal_not_empty', detail)
}

async function writeLines(trx: Trx, chunks: AsyncIterable<Uint8Array>): Promise<number> {
  let step: Read[] = []
  let bytes = 0
  let next = 0
  let isClosed = false
  const write = async () => {
    await writeStep(trx, step)
    step = []
    bytes = 0
  }
  for await (const text of textLines(chunks, LINE_BYTE_LIMIT, damaged)) {
    const number = next + 1
    if (isClosed) damaged(`line ${number + 1}: something stands after the closing line`)
    const read = readLine(text, number)
    if (read === null) {
      isClosed = true
      continue
    }
    step.push(read)
    bytes += read.row.canonical.length
    next += 1
    if (step.length >= STEP || bytes >= STEP_BYTES) await write()
  }
  if (!isClosed) {
    damaged(`the file ends after line ${next} without its closing line: part of it is missing`)
  }
  await write()
  return next
}

/** Reads line `number`, from 1; null for the closing line. */
function readLine(text: string, number: number): Read | null {
  try {
    const read = readJournalLine(text)
    if (read.line === 'end') {
      if (read.size === number - 1) return null
      throw new Error(`the closing line tells of ${read.size} entries; ${number - 1} came before`)
    }
    if (read.row.index !== number - 1) {
      throw new Error(`the entry of index ${number - 1} is due here, not ${read.row.index}`)
    }
    return { row: read.row, entry: entryOf(read.row.canonical) }
  } catch (error) {
    return damaged(`line ${number}: ${messageOf(error)}`)
  }
}

/** The entry, told in words when this program does not know its kind or its shape. */
function entryOf(canonical: Buffer): Entry {
  const value: unknown = JSON.parse(canonical.toString('utf8'))
  const device = typeof value === 'object' && value !== null && 'device' in value && value.device
  const read = readEntry(value, typeof device === 'string' ? device : '')
  if ('entry' in read) return read.entry
  throw new Error(`${read.path ?? 'the entry'}: ${read.detail}`)
}

async function writeStep(trx: Trx, step: Read[]): Promise<void> {
  const first = step[0]
  if (first === undefined) return
  const entries = step.map(({ entry }) => entry)
  try {
    await sql`select import_entries(${first.row.index}::bigint,
      ${entries.map((entry) => entry.id)}::uuid[],
      ${entries.map((entry) => entry.kind)}::text[],
      ${entries.map((entry) => entry.v)}::smallint[],
      ${entries.map((entry) => entry.occurredAt)}::timestamptz[],
      ${entries.map((entry) => entry.device)}::uuid[],
      ${entries.map((entry) => entry.deviceCounter)}::bigint[],
      ${entries.map((entry) => entry.person)}::uuid[],
      ${step.map(({ row }) => row.canonical)}::bytea[],
      ${step.map(({ row }) => row.leafHash)}::bytea[],
      ${step.map(({ row }) => row.recordedAt)}::timestamptz[])`.execute(trx)
  } catch (error) {
    const uniqueViolation = '23505'
    const isTwice = error instanceof Error && 'code' in error && error.code === uniqueViolation
    if (!isTwice) throw error
    const from = first.row.index + 1
    damaged(`lines ${from} to ${from + step.length - 1}: an entry stands in the file twice`)
  }
}

function damaged(what: string): never {
  refuse('damaged_file', `${what}; nothing was imported: take another copy, or export again`)
}

const messageOf = (error: unknown) => (error instanceof Error ? error.message : String(error))
