// Puts fact rows into their tables, and takes those of a withdrawn entry out again.
import type { Transaction } from 'kysely'
import { sql } from 'kysely'
import type { Tables } from '../../db/tables.ts'
import type { Entry } from '#wire/entry.ts'
import { factTables } from './fact-rows.ts'
import type { FactRows, FactTable } from './fact-rows.ts'
import { scopesOf } from './scopes.ts'
import type { Scope } from './scopes.ts'

/** Most rows in one statement. */
const ROW_STEP = 5000

type Trx = Transaction<Tables>
/** An entry with the facts it states; `withdrawn` when a withdrawal of it is known. */
export type Stated = { entry: Entry; facts: FactRows; withdrawn?: boolean }

/** Adds the facts of many entries, table by table, and queues their scopes. */
export async function addFacts(trx: Trx, stated: Stated[]): Promise<void> {
  for (const table of factTables) {
    const rows = stated.flatMap(({ facts }): object[] => facts[table] ?? [])
    if (rows.length > 0) await insertRows(trx, table, rows)
  }
  await addToBalances(trx, stated, 1)
  await queueScopes(trx, stated)
}

/** Takes out the facts of entries that are withdrawn; their scopes are queued as well. */
export async function removeFacts(trx: Trx, stated: Stated[]): Promise<void> {
  const ids = stated.map(({ entry }) => entry.id)
  for (const table of factTables) {
    if (!stated.some(({ facts }) => facts[table] !== undefined)) continue
    await sql`delete from ${sql.table(table)} where entry_id = any(${ids}::uuid[])`.execute(trx)
  }
  await addToBalances(trx, stated, -1)
  await queueScopes(trx, stated)
}

/** In steps: one jsonb value holds at most 256 MB, and one batch can state more than that. */
async function insertRows(trx: Trx, table: FactTable, rows: object[]): Promise<void> {
  const name = sql.table(table)
  for (let at = 0; at < rows.length; at += ROW_STEP) {
    const json = JSON.stringify(rows.slice(at, at + ROW_STEP))
    await sql`insert into ${name}
      select * from jsonb_populate_recordset(null::${name}, ${json}::jsonb)`.execute(trx)
  }
}

/** Sums are added in key order, so that two batches never wait for each other in a ring. */
async function addToBalances(trx: Trx, stated: Stated[], sign: 1 | -1): Promise<void> {
  const movements = stated.flatMap(({ facts }) => facts.movement ?? [])
  if (movements.length === 0) return
  const json = JSON.stringify(movements)
  await sql`
    insert into balance as b (lot_id, bundle_id, unit, account_kind, account_id, count)
    select lot_id, bundle_id, unit, account_kind, account_id, ${sign}::int * sum(count)
    from jsonb_populate_recordset(null::movement, ${json}::jsonb)
    group by 1, 2, 3, 4, 5 order by 1, 2, 3, 4, 5
    on conflict (lot_id, bundle_id, unit, account_kind, account_id)
    do update set count = b.count + excluded.count`.execute(trx)
}

async function queueScopes(trx: Trx, stated: Stated[]): Promise<void> {
  const scopes = new Map<string, Scope>()
  for (const { entry, facts, withdrawn } of stated) {
    for (const scope of scopesOf(entry, facts)) scopes.set(`${scope.kind} ${scope.id}`, scope)
    if (withdrawn === true) scopes.set(`entry ${entry.id}`, { kind: 'entry', id: entry.id })
  }
  if (scopes.size === 0) return
  const kinds = [...scopes.values()].map((scope) => scope.kind)
  const ids = [...scopes.values()].map((scope) => scope.id)
  await sql`insert into finding_scope (scope_kind, scope_id)
    select * from unnest(${kinds}::text[], ${ids}::text[])`.execute(trx)
}
