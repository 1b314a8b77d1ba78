// Reads the whole record again as somebody who believes nothing but the entries, and compares.
import { sql } from 'kysely'
import type { Transaction } from 'kysely'
import type { Database } from '../../db/connect.ts'
import type { Tables } from '../../db/tables.ts'
import { checkBalances, checkFactsOf, checkStrayFacts, readFactColumns } from './verify-facts.ts'
import { checkEntry, readMarks } from './verify-entry.ts'
import type { StoredRow } from './verify-entry.ts'
import { Difference } from './difference.ts'
import type { Evidence } from './held.ts'
import { TreeWatch } from './verify-tree.ts'
import type { TreeCounts } from './verify-tree.ts'

/** Entries read at a time; memory grows with this and with the number of withdrawals alone. */
const STEP = 500
/** After so many entries a line tells how far it has come. */
const TELL_EVERY = 100_000

type Trx = Transaction<Tables>

/** What was read and found right. */
export type Verified = {
  entries: number
  signed: number
  factRows: number
  setAside: number
} & TreeCounts

/** All holds, with counts; or the first difference, in words for a person. */
export type VerifyOutcome = { verified: Verified } | { difference: string }

/**
 * Reads every entry by its index, in one snapshot, as any role that may read: indexes without a
 * gap, canonical form, leaf hash, columns, the device's signature; then the facts it states against
 * the fact tables, the sums of movements against `balance`, and what was set aside against its
 * hash; and the tree over all of them against every checkpoint on record and the evidence given
 * (invariant 9). Findings are not compared: they are worked out from facts, and `rebuild` does so.
 */
export async function verify(
  db: Database,
  log: (line: string) => void = () => undefined,
  evidence: Evidence = nothingHeld,
): Promise<VerifyOutcome> {
  return db
    .transaction()
    .setIsolationLevel('repeatable read')
    .setAccessMode('read only')
    .execute((trx) => verifyIn(trx, log, evidence))
}

/** Does so inside a transaction of the caller, who sees to it that nothing changes meanwhile. */
export async function verifyIn(
  trx: Trx,
  log: (line: string) => void = () => undefined,
  evidence: Evidence = nothingHeld,
): Promise<VerifyOutcome> {
  // Reading all there is takes longer than any page may.
  await sql`set local statement_timeout = 0`.execute(trx)
  try {
    return { verified: await readAll(trx, log, evidence) }
  } catch (error) {
    if (error instanceof Difference) return { difference: error.message }
    throw error
  }
}

/** What `verified` says, in one sentence. */
export function verifiedWords(verified: Verified): string {
  const { entries, signed, factRows, setAside, checkpoints } = verified
  const { heldCheckpoints, heldEntries } = verified
  const elsewhere =
    heldCheckpoints + heldEntries === 0
      ? 'nothing kept elsewhere was given to hold it against'
      : `${heldCheckpoints} checkpoints and ${heldEntries} entries kept elsewhere among it`
  return (
    `all holds: ${entries} entries, ${signed} of them signed by their device; ` +
    `their tree fits ${checkpoints} checkpoints, ${elsewhere}; ` +
    `${factRows} rows of facts and all balances are what they state; ` +
    `${setAside} things set aside are as they came`
  )
}

const nothingHeld: Evidence = { held: [], keys: [] }

async function readAll(
  trx: Trx,
  log: (line: string) => void,
  evidence: Evidence,
): Promise<Verified> {
  const marks = await readMarks(trx)
  const columns = await readFactColumns(trx)
  const tree = await TreeWatch.begin(trx, evidence)
  const verified = { entries: 0, signed: 0, factRows: 0, setAside: 0 }
  for (;;) {
    const rows = await readRows(trx, verified.entries - 1)
    const checked = await Promise.all(
      rows.map((row, nr) => checkEntry(row, verified.entries + nr, marks)),
    )
    for (const row of rows) await tree.add(row.leaf_hash, row)
    const entries = checked.map(({ entry }) => entry)
    verified.factRows += await checkFactsOf(trx, entries, verified.entries, marks, columns)
    verified.signed += checked.filter(({ isSigned }) => isSigned).length
    const before = verified.entries
    verified.entries += rows.length
    if (rows.length < STEP) break
    const isTold = Math.floor(before / TELL_EVERY) < Math.floor(verified.entries / TELL_EVERY)
    if (isTold) log(`${verified.entries} entries read, all right so far`)
  }
  const counts = await tree.end()
  await checkStrayFacts(trx)
  await checkBalances(trx)
  verified.setAside = await checkSetAside(trx)
  return { ...verified, ...counts }
}

async function readRows(trx: Trx, after: number): Promise<StoredRow[]> {
  const { rows } = await sql<StoredRow>`
    select journal_index, id, kind, v, device_id, device_counter, person_id, canonical, leaf_hash,
      to_char(occurred_at at time zone 'UTC', 'YYYY-MM-DD"T"HH24:MI:SS.US"Z"') as occurred_at
    from entry where journal_index > ${after} order by journal_index limit ${STEP}`.execute(trx)
  return rows
}

async function checkSetAside(trx: Trx): Promise<number> {
  const changed = await sql<{ set_aside_id: number }>`
    select set_aside_id from set_aside where sha256(raw) <> raw_hash
    order by set_aside_id limit 1`.execute(trx)
  const first = changed.rows[0]
  if (first !== undefined) {
    throw new Difference(
      `what was set aside as number ${first.set_aside_id} does not fit its hash: it was changed`,
    )
  }
  const all = await sql<{ count: number }>`select count(*) as count from set_aside`.execute(trx)
  return all.rows[0]?.count ?? 0
}
