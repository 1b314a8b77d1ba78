// One line of an exported journal: how it is written, and how it is read back and checked.
import { JournalEnd } from '#wire/api-journal.ts'
import { canonicalBytes, leafHash } from './canonical.ts'

/** An entry of the journal with what the server added; `recordedAt` is UTC to the microsecond. */
export type JournalRow = {
  index: number
  recordedAt: string
  leafHash: Buffer
  canonical: Buffer
}

/**
 * The line for `row`, without its line feed. The entry stands last and is its exact canonical
 * bytes, so that they can be cut out of the line without reading JSON.
 */
export function journalLine(row: JournalRow): string {
  const hash = row.leafHash.toString('hex')
  const entry = row.canonical.toString('utf8')
  return (
    `{"index":${row.index},"recordedAt":"${row.recordedAt}",` +
    `"leafHash":"${hash}","entry":${entry}}`
  )
}

/** The line that closes an exported journal of `size` entries. */
export function endLine(size: number): string {
  return JSON.stringify({ end: size })
}

/** What one line says. */
export type ReadLine = { line: 'entry'; row: JournalRow } | { line: 'end'; size: number }

const added = /"index":(\d{1,15}),"recordedAt":"([0-9TZ:.-]{27})","leafHash":"([0-9a-f]{64})"/
const pattern = new RegExp(`^\\{${added.source},"entry":(\\{.*\\})\\}$`, 'su')

/**
 * Reads one line. Throws an Error that says what is wrong with it unless it is exactly what
 * `journalLine` or `endLine` writes, the entry in canonical form and fitting its leaf hash.
 */
export function readJournalLine(text: string): ReadLine {
  const match = pattern.exec(text)
  if (match === null) return { line: 'end', size: readEnd(text) }
  const [, index = '', recordedAt = '', hash = '', entry = ''] = match
  const canonical = Buffer.from(entry, 'utf8')
  const row = { index: Number(index), recordedAt, leafHash: leafHash(canonical), canonical }
  if (row.leafHash.toString('hex') !== hash) {
    throw new Error('the entry does not fit its leafHash: a character of it was changed')
  }
  if (!isRealTime(recordedAt)) throw new Error(`recordedAt ${recordedAt} is no time`)
  if (!isCanonical(canonical)) throw new Error('the entry is not in canonical form (RFC 8785)')
  return { line: 'entry', row }
}

function readEnd(text: string): number {
  const wrong = 'this is neither a whole line of a journal nor its closing line'
  let value: unknown
  try {
    value = JSON.parse(text)
  } catch {
    throw new Error(`${wrong}: it is not JSON`)
  }
  const end = JournalEnd.safeParse(value)
  if (!end.success) throw new Error(wrong)
  return end.data.end
}

function isCanonical(bytes: Buffer): boolean {
  try {
    return canonicalBytes(JSON.parse(bytes.toString('utf8'))).equals(bytes)
  } catch {
    return false
  }
}

function isRealTime(text: string): boolean {
  const time = new Date(text)
  const isTime = /^\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d\.\d{6}Z$/.test(text) && !Number.isNaN(+time)
  return isTime && time.toISOString().slice(0, 23) === text.slice(0, 23)
}
