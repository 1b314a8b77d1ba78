// Reads the journal in the order of its indexes, a page at a time.
import { sql } from 'kysely'
import type { Database } from '../../db/connect.ts'
import type { JournalRow } from './line.ts'

/** A page of the journal; `size` is how many entries it held when the page was read. */
export type JournalRows = { rows: JournalRow[]; next: number; size: number }

/**
 * Entries from index `from` on: at most `limit`, and at most `byteLimit` bytes of entries, but
 * one at least if there is one. Indexes are given in the order in which batches commit, so no
 * entry can later appear before `next`: whoever goes on from there skips none.
 */
export async function readJournal(
  db: Database,
  { from, limit, byteLimit }: { from: number; limit: number; byteLimit: number },
): Promise<JournalRows> {
  const { rows } = await sql<JournalRow>`
    select journal_index as index, leaf_hash as "leafHash", canonical,
      to_char(recorded_at at time zone 'UTC', 'YYYY-MM-DD"T"HH24:MI:SS.US"Z"') as "recordedAt"
    from (
      select *, sum(octet_length(canonical)) over (order by journal_index) as bytes
      from (
        select * from entry where journal_index >= ${from} order by journal_index limit ${limit}
      ) wanted
    ) counted
    where bytes <= ${byteLimit} or journal_index = ${from}
    order by journal_index`.execute(db)
  const size = await journalSize(db)
  return { rows, next: (rows.at(-1)?.index ?? from - 1) + 1, size }
}

/** How many entries the journal holds: its indexes have no gap. */
export async function journalSize(db: Database): Promise<number> {
  const last = await db
    .selectFrom('entry')
    .select(({ fn }) => fn.max('journal_index').as('index'))
    .executeTakeFirst()
  return (last?.index ?? -1) + 1
}
