// Holds the journal against a checkpoint that somebody kept elsewhere, out of the entries' bytes.
import { sql } from 'kysely'
import type { Transaction } from 'kysely'
import type { Database } from '../../db/connect.ts'
import type { Tables } from '../../db/tables.ts'
import { knownKeys } from './checkpoint-keys.ts'
import { heldCheckpoint, tidyNote } from './held.ts'
import { GrowingTree } from './merkle.ts'
import { keyText, signersOf } from './note.ts'
import { journalSize } from './read-journal.ts'
import { rootAt } from './tree.ts'

/** Most entries whose bytes are read again for one page; beyond, the kept tree is compared. */
export const KEPT_ENTRY_LIMIT = 200_000
const STEP = 2000

/** What came of it. `problem` says in words what is wrong with the note as a text. */
export type KeptOutcome =
  | { outcome: 'no checkpoint'; problem: string }
  | { outcome: 'signed by no key on record'; size: number }
  | { outcome: 'journal is shorter'; size: number; held: number; key: string }
  | { outcome: 'differs'; size: number; key: string }
  | { outcome: 'fits'; size: number; key: string; since: number; fromBytes: boolean }

/**
 * Compares the journal's first entries with what the note states of them. `since` counts the
 * entries that came later. The bytes of the entries are hashed anew, as far as they are at most
 * KEPT_ENTRY_LIMIT; of a longer journal the tree that is kept (`fromBytes` false).
 */
export function compareKept(db: Database, text: string): Promise<KeptOutcome> {
  return db
    .transaction()
    .setIsolationLevel('repeatable read')
    .execute((trx) => compareKeptIn(trx, text))
}

/** Does so inside a transaction of the caller, who sees to it that nothing changes meanwhile. */
export async function compareKeptIn(trx: Transaction<Tables>, text: string): Promise<KeptOutcome> {
  const keys = await knownKeys(trx)
  let held
  let signer
  try {
    held = heldCheckpoint('note', tidyNote(text)).checkpoint
    signer = held === null ? undefined : signersOf(held.note, keys)[0]
  } catch (error) {
    const problem = error instanceof Error ? error.message : String(error)
    return { outcome: 'no checkpoint', problem }
  }
  if (held === null) return { outcome: 'no checkpoint', problem: 'it names no root' }
  const { size, root } = held
  if (signer === undefined) return { outcome: 'signed by no key on record', size }
  const key = keyText(signer)
  const now = await journalSize(trx)
  if (now < size) return { outcome: 'journal is shorter', size, held: now, key }
  const fromBytes = size <= KEPT_ENTRY_LIMIT
  const own = fromBytes ? await rootOfBytes(trx, size) : await rootAt(trx, size)
  if (!own.equals(root)) return { outcome: 'differs', size, key }
  return { outcome: 'fits', size, key, since: now - size, fromBytes }
}

async function rootOfBytes(db: Database, size: number): Promise<Buffer> {
  const tree = new GrowingTree()
  for (let from = 0; from < size; from += STEP) {
    const to = Math.min(size, from + STEP)
    const { rows } = await sql<{ leaf: Buffer }>`
      select sha256(decode('00', 'hex') || canonical) as leaf from entry
      where journal_index >= ${from} and journal_index < ${to}
      order by journal_index`.execute(db)
    for (const { leaf } of rows) tree.add(leaf)
  }
  return tree.root()
}
