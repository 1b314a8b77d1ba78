// Compares one stored entry with itself: index, bytes, hash, columns and the device's signature.
import { sql } from 'kysely'
import type { Transaction } from 'kysely'
import type { Entry } from '#wire/entry.ts'
import type { Tables } from '../../db/tables.ts'
import { isSignedEntry, readPublicKey } from '../people/keys.ts'
import { leafHash } from './canonical.ts'
import { Difference, entryName } from './difference.ts'
import { utcText } from './fact-text.ts'
import { readEntry, readStored } from './read-entry.ts'

/** An entry as its table holds it; `occurred_at` is UTC to the microsecond. */
export type StoredRow = {
  journal_index: number
  id: string
  kind: string
  v: number
  occurred_at: string
  device_id: string
  device_counter: number
  person_id: string
  canonical: Buffer
  leaf_hash: Buffer
}

/** What must be known of the whole journal before single entries can be judged. */
export type Marks = {
  /** Ids of entries that were withdrawn. */
  withdrawn: Set<string>
  /** Ids of entries that the office took in although their device could not write any more. */
  accepted: Set<string>
  /** Public keys by device, as `device.enrolled` recorded them. */
  keys: Map<string, Buffer[]>
}

const marking = ['entry.withdrawn', 'entry.accepted', 'device.enrolled']
const STEP = 2000

/** Reads them, from the entries alone. */
export async function readMarks(trx: Transaction<Tables>): Promise<Marks> {
  const marks: Marks = { withdrawn: new Set(), accepted: new Set(), keys: new Map() }
  for (let after = -1; ;) {
    const { rows } = await sql<{ journal_index: number; canonical: Buffer }>`
      select journal_index, canonical from entry
      where kind = any(${marking}::text[]) and journal_index > ${after}
      order by journal_index limit ${STEP}`.execute(trx)
    for (const row of rows) addMark(marks, row)
    after = rows.at(-1)?.journal_index ?? after
    if (rows.length < STEP) return marks
  }
}

function addMark(marks: Marks, row: { journal_index: number; canonical: Buffer }): void {
  let entry: Entry
  try {
    entry = readStored(row.canonical)
  } catch (error) {
    throw new Difference(`entry ${row.journal_index}: it cannot be read (${messageOf(error)})`)
  }
  if (entry.kind === 'entry.withdrawn') marks.withdrawn.add(entry.body.entryId)
  if (entry.kind === 'entry.accepted') marks.accepted.add(entry.body.entryId)
  if (entry.kind === 'device.enrolled' && entry.body.publicKey !== null) {
    const { deviceId, publicKey } = entry.body
    const key = readPublicKey(publicKey)
    if (key !== null) marks.keys.set(deviceId, [...(marks.keys.get(deviceId) ?? []), key])
  }
}

/** Reads an entry and checks all that can be checked of it alone; throws a Difference. */
export async function checkEntry(
  row: StoredRow,
  dueIndex: number,
  marks: Marks,
): Promise<{ entry: Entry; isSigned: boolean }> {
  const name = entryName(row.journal_index, row)
  const differs = (what: string): never => {
    throw new Difference(`${name}: ${what}`)
  }
  if (row.journal_index !== dueIndex) {
    throw new Difference(`entry ${dueIndex} is missing from the journal: the next one is ${name}`)
  }
  if (!leafHash(row.canonical).equals(row.leaf_hash)) {
    differs('its bytes do not fit its leaf hash: one of the two was changed after it was recorded')
  }
  const value = parse(row.canonical, differs)
  const read = readEntry(value, claimedDevice(value))
  if (!('entry' in read)) return differs(`it cannot be read (${read.path ?? ''} ${read.detail})`)
  if (!read.canonical.equals(row.canonical)) differs('its bytes are not in canonical form')
  for (const [column, stored, stated] of pairs(row, read.entry)) {
    if (stored === stated) continue
    differs(`its column ${column} says ${stored}, and its bytes say ${stated}`)
  }
  return { entry: read.entry, isSigned: await checkSignature(read.entry, marks, differs) }
}

function pairs(row: StoredRow, entry: Entry): [string, string | number, string | number][] {
  return [
    ['id', row.id, entry.id],
    ['kind', row.kind, entry.kind],
    ['v', row.v, entry.v],
    ['occurred_at', row.occurred_at, utcText(entry.occurredAt)],
    ['device_id', row.device_id, entry.device],
    ['device_counter', row.device_counter, entry.deviceCounter],
    ['person_id', row.person_id, entry.person],
  ]
}

/**
 * An entry of a device that has a key carries its signature, unless the office took the entry in
 * by itself. Whether an entry was signed.
 */
async function checkSignature(
  entry: Entry,
  marks: Marks,
  differs: (what: string) => never,
): Promise<boolean> {
  const keys = marks.keys.get(entry.device) ?? []
  for (const key of keys) if (await isSignedEntry(key, entry)) return true
  if (marks.accepted.has(entry.id)) return false
  if (keys.length === 0 && entry.signature === undefined) return false
  return differs(
    entry.signature === undefined
      ? 'its device has a key, and yet it is not signed, and nobody accepted it so'
      : 'its signature fits no key that the journal knows of its device',
  )
}

function parse(canonical: Buffer, differs: (what: string) => never): unknown {
  try {
    return JSON.parse(canonical.toString('utf8'))
  } catch (error) {
    return differs(`its bytes are no JSON (${messageOf(error)})`)
  }
}

function claimedDevice(value: unknown): string {
  if (typeof value !== 'object' || value === null || !('device' in value)) return ''
  return typeof value.device === 'string' ? value.device : ''
}

const messageOf = (error: unknown) => (error instanceof Error ? error.message : String(error))
