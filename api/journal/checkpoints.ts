// Makes signed checkpoints of the journal, each proven to extend the one before, and keeps them.
import { sql } from 'kysely'
import type { Transaction } from 'kysely'
import type { Database } from '../../db/connect.ts'
import type { Tables } from '../../db/tables.ts'
import { assert, refuse } from '../platform/errors.ts'
import { checkpointText, readCheckpoint } from './checkpoint.ts'
import { knownKeys } from './checkpoint-keys.ts'
import type { Signer } from './checkpoint-keys.ts'
import { checkConsistency } from './merkle.ts'
import { openNote, signersOf } from './note.ts'
import { journalSize } from './read-journal.ts'
import { consistencyProof, growTree, rootAt } from './tree.ts'

/** A checkpoint as it was signed here. */
export type SignedCheckpoint = {
  size: number
  keyNumber: number
  root: Buffer
  note: string
  madeAt: Date
}

/** A checkpoint is due after so many new entries at once, or after so many minutes with any. */
const DUE_ENTRIES = 5000
const DUE_MINUTES = 15
const checkpointLock = 7263007

/** The newest checkpoint, or null. */
export async function lastCheckpoint(db: Database): Promise<SignedCheckpoint | null> {
  const [last] = await listCheckpoints(db, { limit: 1 })
  return last ?? null
}

/** Checkpoints, the newest first. */
export async function listCheckpoints(
  db: Database,
  { limit }: { limit: number },
): Promise<SignedCheckpoint[]> {
  const rows = await db
    .selectFrom('checkpoint')
    .selectAll()
    .orderBy('size', 'desc')
    .orderBy('key_number', 'desc')
    .limit(limit)
    .execute()
  return rows.map((row) => ({
    size: row.size,
    keyNumber: row.key_number,
    root: row.root,
    note: row.note,
    madeAt: new Date(row.made_at),
  }))
}

/** Is it time for the next one? */
export async function isCheckpointDue(db: Database, now: Date): Promise<boolean> {
  const [size, last] = [await journalSize(db), await lastCheckpoint(db)]
  const fresh = size - (last?.size ?? 0)
  if (fresh <= 0) return false
  if (last === null || fresh >= DUE_ENTRIES) return true
  return now.getTime() - last.madeAt.getTime() >= DUE_MINUTES * 60_000
}

/**
 * Signs the journal as it is now, or gives the newest checkpoint when nothing came since. Refuses
 * with `journal_empty`, and with `journal_disagrees` when the journal does not extend what was
 * signed before (invariant 9): then nothing is signed, and `npm run verify` tells more.
 */
export async function makeCheckpoint(
  db: Database,
  signer: Signer,
  now: Date,
): Promise<SignedCheckpoint> {
  // Grown before the lock is taken, so that nobody waits for a journal that was just imported.
  await growTree(db)
  return db.transaction().execute(async (trx) => {
    await sql`select pg_advisory_xact_lock(${checkpointLock}::bigint)`.execute(trx)
    const size = await journalSize(trx)
    if (size === 0) refuse('journal_empty', 'there is nothing in the journal yet to be signed')
    const last = await lastCheckpoint(trx)
    if (last?.size === size && last.keyNumber === signer.key.number) return last
    const root = await rootAt(trx, size)
    if (last !== null) await refuseUnlessExtended(trx, last, { size, root })
    const { name: origin, number: keyNumber } = signer.key
    const note = signer.sign(checkpointText({ origin, size, root }))
    const made = { size, keyNumber, root, note, madeAt: now }
    assert(signersOf(openNote(note), [signer.key]).length === 1, 'a checkpoint bears our signature')
    await trx
      .insertInto('checkpoint')
      .values({ size, key_number: keyNumber, root, note, made_at: now })
      .execute()
    return made
  })
}

/** Invariant 9: each checkpoint proves that it extends the one before. */
async function refuseUnlessExtended(
  trx: Transaction<Tables>,
  last: SignedCheckpoint,
  { size, root }: { size: number; root: Buffer },
): Promise<void> {
  const disagrees = (what: string): never =>
    refuse(
      'journal_disagrees',
      `the checkpoint of ${last.size} entries and the journal do not agree (${what}), so nothing ` +
        'was signed: stop changing the database, and run “npm run verify”',
      { status: 500 },
    )
  const signers = signersOf(openNote(last.note), await knownKeys(trx))
  if (signers.length === 0) disagrees('it bears no signature of ours')
  // What was signed counts, not the columns beside it.
  const before = readCheckpoint(openNote(last.note).text)
  if (before.size > size) disagrees(`the journal has ${size} entries only`)
  const proof = await consistencyProof(trx, before.size, size)
  const claim = { before: before.size, beforeRoot: before.root, size, root, proof }
  const proven = checkConsistency(claim)
  if (!proven.ok) disagrees(proven.problem)
}
