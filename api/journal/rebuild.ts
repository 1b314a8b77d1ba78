// Empties the fact tables and fills them again from the journal alone.
import { sql } from 'kysely'
import type { Transaction } from 'kysely'
import type { Database } from '../../db/connect.ts'
import type { Tables } from '../../db/tables.ts'
import { countTables } from './count-entries.ts'
import { factTables } from './fact-rows.ts'
import { factsOf, factsOfWithdrawn } from './facts.ts'
import { withdrawalLock } from './ingest.ts'
import { readStored } from './read-entry.ts'
import { settleFindings } from './settle.ts'
import { addFacts } from './write-facts.ts'

/** Tables that are filled out of the facts and the journal, besides the facts. */
const derivedTables = [
  'balance',
  'finding',
  'finding_scope',
  'climate_day',
  'tree_node',
  ...countTables,
]
/** Entries replayed in one step. */
const STEP = 2000

/**
 * Rebuilds all facts, balances and findings in one transaction (invariant 3); needs the owner's
 * connection, because the app may not empty tables. Returns how many entries were replayed.
 */
export async function rebuild(owner: Database): Promise<number> {
  const replayed = await owner.transaction().execute(replay)
  await settleFindings(owner)
  return replayed
}

/**
 * Does so inside a transaction of the owner, and leaves the findings to be settled after it.
 * Waits for batches under way, and keeps others out until the transaction ends.
 */
export async function replay(trx: Transaction<Tables>): Promise<number> {
  const tables = sql.join([...factTables, ...derivedTables].map(sql.table))
  await sql`select pg_advisory_xact_lock(${withdrawalLock}::bigint)`.execute(trx)
  await sql`truncate ${tables}`.execute(trx)
  const withdrawn = await withdrawnIds(trx)
  for (let next = 0; ;) {
    const rows = await trx
      .selectFrom('entry')
      .select(['journal_index', 'canonical'])
      .where('journal_index', '>=', next)
      .orderBy('journal_index')
      .limit(STEP)
      .execute()
    const entries = rows.map((row) => readStored(row.canonical))
    const stated = entries.map((entry) => {
      const counts = entry.kind === 'entry.withdrawn' || !withdrawn.has(entry.id)
      const facts = counts ? factsOf(entry) : factsOfWithdrawn(entry)
      return { entry, facts, withdrawn: withdrawn.has(entry.id) }
    })
    await addFacts(trx, stated)
    next += rows.length
    if (rows.length < STEP) return next
  }
}

async function withdrawnIds(trx: Transaction<Tables>): Promise<Set<string>> {
  const rows = await trx
    .selectFrom('entry')
    .select('canonical')
    .where('kind', '=', 'entry.withdrawn')
    .execute()
  const ids = new Set<string>()
  for (const row of rows) {
    const entry = readStored(row.canonical)
    if (entry.kind === 'entry.withdrawn') ids.add(entry.body.entryId)
  }
  return ids
}
