// Takes a batch of entries from one device into the journal: each exactly once, with its facts.
import { createHash } from 'node:crypto'
import { sql } from 'kysely'
import type { Transaction } from 'kysely'
import type { Database } from '../../db/connect.ts'
import type { Tables } from '../../db/tables.ts'
import { factsOf, factsOfWithdrawn } from './facts.ts'
import { readEntry, readStored } from './read-entry.ts'
import type { Problem, ReadEntry } from './read-entry.ts'
import { addFacts, removeFacts } from './write-facts.ts'
import type { Stated } from './write-facts.ts'

/** How often a batch is tried again after losing a race to another. */
const RETRY_LIMIT = 5
/**
 * Every batch holds this lock shared; one that withdraws, or a rebuild, holds it alone. Without
 * it, an entry and its withdrawal that commit at the same moment would not see each other.
 */
export const withdrawalLock = 7263002

/** What became of one entry; the order is that of the batch. */
export type EntryResult =
  | { id: string; result: 'recorded'; journalIndex: number }
  | { id: string; result: 'already recorded' }
  | { id: string | null; result: 'set aside'; problem: Problem }

/**
 * An entry as it came in: its value, the exact text it was sent as, when there is one, and a
 * problem that was seen before its value could be read.
 */
export type Received = { value: unknown; raw?: string; problem?: Problem }

type Trx = Transaction<Tables>
type Aside = Received & { problem: Problem }
type Item = Received & ({ read: ReadEntry } | { problem: Problem })

/**
 * Records `values`, sent by `deviceId`, in one transaction. When this returns, every entry is
 * either in the journal for ever or set aside with its problem (invariants 1 and 2). Throws, with
 * nothing kept, only when the database does; the sender then sends again.
 */
export async function ingest(
  db: Database,
  deviceId: string,
  values: unknown[],
): Promise<EntryResult[]> {
  return ingestReceived(
    db,
    deviceId,
    values.map((value) => ({ value })),
  )
}

/** Like `ingest`, for entries that came as text: what is set aside is kept as it was sent. */
export async function ingestReceived(
  db: Database,
  deviceId: string,
  received: Received[],
): Promise<EntryResult[]> {
  if (received.length === 0) return []
  return untilWon(db, (trx) => ingestIn(trx, deviceId, readAll(received, deviceId)))
}

/**
 * Like `ingest`, for entries that can only be written once the transaction is under way (the
 * desk's counter, say). `write` may be called again when the batch loses a race.
 */
export async function inOneBatch(
  db: Database,
  deviceId: string,
  write: (trx: Trx) => Promise<unknown[]>,
): Promise<EntryResult[]> {
  return untilWon(db, async (trx) => {
    const values = await write(trx)
    const received = values.map((value) => ({ value }))
    return ingestIn(trx, deviceId, readAll(received, deviceId))
  })
}

async function untilWon<T>(db: Database, work: (trx: Trx) => Promise<T>): Promise<T> {
  for (let attempt = 1; ; attempt += 1) {
    try {
      return await db.transaction().execute(work)
    } catch (error) {
      if (attempt >= RETRY_LIMIT || !isLostRace(error)) throw error
    }
  }
}

function readAll(received: Received[], deviceId: string): Item[] {
  return received.map((item): Item => {
    const read = item.problem ?? readEntry(item.value, deviceId)
    return 'code' in read ? { ...item, problem: read } : { ...item, read }
  })
}

async function ingestIn(trx: Trx, deviceId: string, items: Item[]): Promise<EntryResult[]> {
  await lockAgainstWithdrawals(trx, items)
  const known = await knownHashes(trx, items)
  const results: EntryResult[] = []
  const fresh: ReadEntry[] = []
  const aside: Aside[] = []
  const setAside = (item: Received, problem: Problem, id: string | null) => {
    aside.push({ ...item, problem })
    results.push({ id, result: 'set aside', problem })
  }
  for (const item of items) {
    if (!('read' in item)) {
      setAside(item, item.problem, claimedId(item.value))
      continue
    }
    const { id } = item.read.entry
    const hash = item.read.leafHash.toString('hex')
    const before = known.get(id)
    if (before === hash) {
      results.push({ id, result: 'already recorded' })
    } else if (before !== undefined) {
      setAside(item, taken(id), id)
    } else {
      known.set(id, hash)
      fresh.push(item.read)
      results.push({ id, result: 'recorded', journalIndex: fresh.length - 1 })
    }
  }
  await keepAside(trx, deviceId, aside)
  const firstIndex = await record(trx, fresh)
  return results.map((result) =>
    result.result === 'recorded'
      ? { ...result, journalIndex: firstIndex + result.journalIndex }
      : result,
  )
}

/** Writes the facts of new entries, undoes withdrawn ones, and appends: always the last write. */
async function record(trx: Trx, fresh: ReadEntry[]): Promise<number> {
  if (fresh.length === 0) return 0
  const withdrawn = await withdrawnAmong(trx, fresh)
  const stated = fresh.map(({ entry }): Stated => {
    const isWithdrawn = withdrawn.has(entry.id)
    const counts = entry.kind === 'entry.withdrawn' || !isWithdrawn
    const facts = counts ? factsOf(entry) : factsOfWithdrawn(entry)
    return { entry, facts, withdrawn: isWithdrawn }
  })
  const undone = await standingBefore(trx, fresh)
  await addFacts(trx, stated)
  if (undone.length > 0) {
    await removeFacts(trx, undone)
    const shown = undone.map(({ entry }) => ({ entry, facts: factsOfWithdrawn(entry) }))
    await addFacts(trx, shown)
  }
  return append(trx, fresh)
}

async function append(trx: Trx, fresh: ReadEntry[]): Promise<number> {
  const entries = fresh.map((read) => read.entry)
  const result = await sql<{ first_index: number }>`select append_entries(
    ${entries.map((entry) => entry.id)}::uuid[],
    ${entries.map((entry) => entry.kind)}::text[],
    ${entries.map((entry) => entry.v)}::smallint[],
    ${entries.map((entry) => entry.occurredAt)}::timestamptz[],
    ${entries.map((entry) => entry.device)}::uuid[],
    ${entries.map((entry) => entry.deviceCounter)}::bigint[],
    ${entries.map((entry) => entry.person)}::uuid[],
    ${fresh.map((read) => read.canonical)}::bytea[],
    ${fresh.map((read) => read.leafHash)}::bytea[]) as first_index`.execute(trx)
  const first = result.rows[0]
  if (first === undefined) throw new Error('append_entries gave no index')
  return first.first_index
}

async function lockAgainstWithdrawals(trx: Trx, items: Item[]): Promise<void> {
  const withdraws = items.some(
    (item) => 'read' in item && item.read.entry.kind === 'entry.withdrawn',
  )
  const lock = sql.raw(withdraws ? 'pg_advisory_xact_lock' : 'pg_advisory_xact_lock_shared')
  await sql`select ${lock}(${withdrawalLock}::bigint)`.execute(trx)
}

async function knownHashes(trx: Trx, items: Item[]): Promise<Map<string, string>> {
  const ids = items.flatMap((item) => ('read' in item ? [item.read.entry.id] : []))
  if (ids.length === 0) return new Map()
  const rows = await trx
    .selectFrom('entry')
    .select(['id', 'leaf_hash'])
    .where('id', '=', sql<string>`any(${ids}::uuid[])`)
    .execute()
  return new Map(rows.map((row) => [row.id, row.leaf_hash.toString('hex')]))
}

/** Ids of `fresh` that a withdrawal, known or in this very batch, takes back. */
async function withdrawnAmong(trx: Trx, fresh: ReadEntry[]): Promise<Set<string>> {
  const ids = fresh.map((read) => read.entry.id)
  const rows = await trx
    .selectFrom('withdrawal')
    .select('withdrawn_id')
    .where('withdrawn_id', '=', sql<string>`any(${ids}::uuid[])`)
    .execute()
  return new Set([...rows.map((row) => row.withdrawn_id), ...withdrawnBy(fresh)])
}

function withdrawnBy(fresh: ReadEntry[]): string[] {
  return fresh.flatMap(({ entry }) =>
    entry.kind === 'entry.withdrawn' ? [entry.body.entryId] : [],
  )
}

/** Earlier entries whose facts stand and which this batch withdraws. */
async function standingBefore(trx: Trx, fresh: ReadEntry[]): Promise<Stated[]> {
  const ids = withdrawnBy(fresh)
  if (ids.length === 0) return []
  const rows = await trx
    .selectFrom('entry')
    .select('canonical')
    .where('id', '=', sql<string>`any(${ids}::uuid[])`)
    .where('kind', '<>', 'entry.withdrawn')
    .where(({ not, exists, selectFrom }) =>
      not(
        exists(
          selectFrom('withdrawal')
            .select('withdrawal.entry_id')
            .whereRef('withdrawal.withdrawn_id', '=', 'entry.id'),
        ),
      ),
    )
    .execute()
  return rows.map((row) => {
    const entry = readStored(row.canonical)
    return { entry, facts: factsOf(entry) }
  })
}

async function keepAside(trx: Trx, deviceId: string, aside: Aside[]): Promise<void> {
  for (const { value, problem, raw: text } of aside) {
    const raw = Buffer.from(text ?? JSON.stringify(value) ?? 'null', 'utf8')
    const path = problem.path === null ? '' : `${problem.path}: `
    await trx
      .insertInto('set_aside')
      .values({
        device_id: deviceId,
        claimed_entry_id: claimedId(value),
        problem_code: problem.code,
        problem_detail: printable(`${path}${problem.detail}`, 1000),
        raw,
        raw_hash: createHash('sha256').update(raw).digest(),
      })
      .onConflict((conflict) => conflict.column('raw_hash').doNothing())
      .execute()
  }
}

function taken(id: string): Problem {
  const detail = `the entry ${id} is in the journal with other content; nothing was changed`
  return { code: 'id_taken', detail, path: 'id' }
}

function claimedId(value: unknown): string | null {
  if (typeof value !== 'object' || value === null || !('id' in value)) return null
  return typeof value.id === 'string' ? printable(value.id, 100) : null
}

/** Text that Postgres can keep: what does not print becomes a question mark. */
function printable(text: string, limit: number): string {
  return text.slice(0, limit).replace(/[\p{Cc}\p{Cs}]/gu, '?')
}

const lostRaceCodes = new Set(['23505', '40001', '40P01'])

function isLostRace(error: unknown): boolean {
  return error instanceof Error && 'code' in error && lostRaceCodes.has(String(error.code))
}
