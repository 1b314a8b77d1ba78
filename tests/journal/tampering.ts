// What somebody with the owner's password can do to old entries and to what is made of them.
import { sql } from 'kysely'
import type { Transaction } from 'kysely'
import { canonicalBytes, leafHash } from '../../api/journal/canonical.ts'
import { readStored } from '../../api/journal/read-entry.ts'
import { replay } from '../../api/journal/rebuild.ts'
import { newId } from '../../api/platform/clock.ts'
import type { Tables } from '../../db/tables.ts'

export type Trx = Transaction<Tables>

/** Entry 123 says something else, and its hash and the facts are made to fit. */
export async function rewrite(trx: Trx, index = 123): Promise<void> {
  const row = await trx
    .selectFrom('entry')
    .select('canonical')
    .where('journal_index', '=', index)
    .executeTakeFirstOrThrow()
  const entry = readStored(row.canonical)
  const occurredAt = new Date(Date.parse(entry.occurredAt) - 60_000).toISOString()
  const canonical = canonicalBytes({ ...entry, occurredAt })
  await sql`update entry set canonical = ${canonical}, leaf_hash = ${leafHash(canonical)},
    occurred_at = ${occurredAt}::timestamptz where journal_index = ${index}`.execute(trx)
}

/** Takes an entry out and closes the gap in the indexes. */
export async function remove(trx: Trx, index = 123): Promise<void> {
  await sql`delete from entry where journal_index = ${index}`.execute(trx)
  await move(trx, index, -1)
}

async function move(trx: Trx, after: number, by: number): Promise<void> {
  await sql`update entry set journal_index = -journal_index - 1000000 - ${by}
    where journal_index > ${after}`.execute(trx)
  await sql`update entry set journal_index = -journal_index - 1000000
    where journal_index < -999999`.execute(trx)
}

export async function swap(trx: Trx): Promise<void> {
  await sql`update entry set journal_index = 1000000 where journal_index = 123`.execute(trx)
  await sql`update entry set journal_index = 123 where journal_index = 250`.execute(trx)
  await sql`update entry set journal_index = 250 where journal_index = 1000000`.execute(trx)
}

/** A further entry among the old ones, by a known device, at a time that fits. */
export async function insert(trx: Trx): Promise<void> {
  const row = await trx
    .selectFrom('entry')
    .select(['canonical', 'recorded_at'])
    .where('journal_index', '=', 122)
    .executeTakeFirstOrThrow()
  const entry = { ...readStored(row.canonical), id: newId(), deviceCounter: 99_000 }
  const canonical = canonicalBytes(entry)
  await move(trx, 122, 1)
  await sql`insert into entry (journal_index, id, kind, v, occurred_at, device_id, device_counter,
      person_id, canonical, leaf_hash, recorded_at)
    values (123, ${entry.id}, ${entry.kind}, ${entry.v}, ${entry.occurredAt}, ${entry.device},
      ${entry.deviceCounter}, ${entry.person}, ${canonical}, ${leafHash(canonical)},
      ${row.recorded_at})`.execute(trx)
}

export const loose = (tamper: (trx: Trx) => Promise<void>) => async (trx: Trx) => {
  await sql`alter table entry drop constraint if exists entry_journal_index_check`.execute(trx)
  await tamper(trx)
}

/** Makes everything that is worked out from entries fit again, the tree's kept hashes as well. */
export const rebuilt = (tamper: (trx: Trx) => Promise<void>) => async (trx: Trx) => {
  await loose(tamper)(trx)
  await replay(trx)
}

/** Rebuilds it all and takes out every checkpoint, as if none had ever been made. */
export const unsigned = (tamper: (trx: Trx) => Promise<void>) => async (trx: Trx) => {
  await rebuilt(tamper)(trx)
  await sql`delete from checkpoint`.execute(trx)
}
