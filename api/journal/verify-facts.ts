// Works out again what entries state, without the database, and compares it with the fact tables.
import { sql } from 'kysely'
import type { Transaction } from 'kysely'
import type { Entry } from '#wire/entry.ts'
import type { Tables } from '../../db/tables.ts'
import { Difference, entryName } from './difference.ts'
import { factTables } from './fact-rows.ts'
import type { FactTable } from './fact-rows.ts'
import { plainRow, valueText } from './fact-text.ts'
import type { ColumnTypes } from './fact-text.ts'
import { factsOf, factsOfWithdrawn } from './facts.ts'
import type { Marks } from './verify-entry.ts'

type Trx = Transaction<Tables>
type Columns = ReadonlyMap<FactTable, ColumnTypes>
type Row = Record<string, unknown>
/** The rows of one entry, by table. */
type RowsOfEntry = Map<FactTable, Row[]>

/** The columns of all fact tables. */
export async function readFactColumns(trx: Trx): Promise<Columns> {
  const { rows } = await sql<{ table_name: FactTable; column_name: string; data_type: string }>`
    select table_name, column_name, data_type from information_schema.columns
    where table_schema = 'public' and table_name = any(${[...factTables]}::text[])`.execute(trx)
  const columns = new Map<FactTable, Map<string, string>>(factTables.map((t) => [t, new Map()]))
  for (const row of rows) columns.get(row.table_name)?.set(row.column_name, row.data_type)
  return columns
}

/**
 * Compares the facts of entries that follow one another from `firstIndex` on. Returns how many
 * rows were right; throws a Difference that names entry, table and column.
 */
export async function checkFactsOf(
  trx: Trx,
  entries: Entry[],
  firstIndex: number,
  marks: Marks,
  columns: Columns,
): Promise<number> {
  if (entries.length === 0) return 0
  const held = await readHeld(trx, entries, columns)
  let count = 0
  for (const [nr, entry] of entries.entries()) {
    const name = entryName(firstIndex + nr, entry)
    const stated = statedRows(entry, name, marks, columns)
    const found = held.get(entry.id) ?? new Map<FactTable, Row[]>()
    for (const table of factTables) {
      const rows = stated.get(table) ?? []
      compare(name, table, rows, found.get(table) ?? [])
      count += rows.length
    }
  }
  return count
}

function statedRows(entry: Entry, name: string, marks: Marks, columns: Columns): RowsOfEntry {
  const counts = entry.kind === 'entry.withdrawn' || !marks.withdrawn.has(entry.id)
  const facts = counts ? factsOf(entry) : factsOfWithdrawn(entry)
  const rows: RowsOfEntry = new Map()
  for (const table of factTables) {
    const plain = (facts[table] ?? []).map((row: object) => {
      try {
        return plainRow(row, columns.get(table) ?? new Map())
      } catch (error) {
        const why = error instanceof Error ? error.message : String(error)
        throw new Difference(`${name} cannot be held by the table ${table}: ${why}`)
      }
    })
    if (plain.length > 0) rows.set(table, plain)
  }
  return rows
}

async function readHeld(
  trx: Trx,
  entries: Entry[],
  columns: Columns,
): Promise<Map<string, RowsOfEntry>> {
  const ids = entries.map(({ id }) => id)
  const parts = factTables.map(
    (table) => sql`select ${table}::text as fact_table, entry_id, to_jsonb(t) as fact
      from ${sql.table(table)} t where entry_id = any((select ids from wanted)::uuid[])`,
  )
  const { rows } = await sql<{ fact_table: FactTable; entry_id: string; fact: object }>`
    with wanted as materialized (select ${ids}::uuid[] as ids)
    ${sql.join(parts, sql` union all `)}`.execute(trx)
  const held = new Map<string, RowsOfEntry>()
  for (const { fact_table, entry_id, fact } of rows) {
    const ofEntry = held.get(entry_id) ?? new Map<FactTable, Row[]>()
    held.set(entry_id, ofEntry)
    const plain = plainRow(fact, columns.get(fact_table) ?? new Map())
    ofEntry.set(fact_table, [...(ofEntry.get(fact_table) ?? []), plain])
  }
  return held
}

function compare(name: string, table: FactTable, stated: Row[], held: Row[]): void {
  const want = stated.map(valueText).sort()
  const have = held.map(valueText).sort()
  if (want.length === have.length && want.every((text, nr) => text === have[nr])) return
  const lacking = stated.find((row) => !have.includes(valueText(row)))
  const surplus = held.find((row) => !want.includes(valueText(row)))
  if (lacking === undefined) {
    const row = valueText(surplus ?? held[0])
    throw new Difference(`${name} does not state a row that the table ${table} holds: ${row}`)
  }
  const twin = held.find((row) => row.line === lacking.line) ?? surplus
  if (twin === undefined) {
    const row = valueText(lacking)
    throw new Difference(`${name} states a row that the table ${table} lacks: ${row}`)
  }
  const column = Object.keys(lacking).find((key) => {
    return valueText(lacking[key]) !== valueText(twin[key])
  })
  const [says, due] = [valueText(twin[column ?? '']), valueText(lacking[column ?? ''])]
  const line = lacking.line === undefined ? '' : `, line ${valueText(lacking.line)}`
  throw new Difference(`${name}: table ${table}${line}: ${column} is ${says} and should be ${due}`)
}

/** Finds facts of entries that the journal does not have; throws a Difference. */
export async function checkStrayFacts(trx: Trx): Promise<void> {
  for (const table of factTables) {
    const { rows } = await sql<{ entry_id: string }>`
      select t.entry_id from ${sql.table(table)} t
      where not exists (select from entry e where e.id = t.entry_id)
      order by t.entry_id limit 1`.execute(trx)
    const stray = rows[0]
    if (stray === undefined) continue
    throw new Difference(
      `the table ${table} holds facts of an entry ${stray.entry_id} that the journal does not have`,
    )
  }
}

type Sums = { key: string; stated: number | null; held: number | null }

/** Compares `balance` with the sums of movements, right by now; throws a Difference. */
export async function checkBalances(trx: Trx): Promise<void> {
  const keys = sql.raw('lot_id, bundle_id, unit, account_kind, account_id')
  const { rows } = await sql<Sums>`
    select concat_ws(', ', 'lot ' || lot_id, 'bundle ' || bundle_id, unit,
      account_kind || ' ' || account_id) as key, m.count as stated, b.count as held
    from (select ${keys}, sum(count)::bigint as count from movement group by ${keys}) m
      full join balance b using (${keys})
    where coalesce(m.count, 0) <> coalesce(b.count, 0)
    order by ${keys} limit 1`.execute(trx)
  const first = rows[0]
  if (first === undefined) return
  throw new Difference(
    `the table balance says ${first.held ?? 'nothing'} for ${first.key}; ` +
      `the movements sum to ${first.stated ?? 0}`,
  )
}
