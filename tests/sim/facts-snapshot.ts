// Reads every fact table as plain text rows, so that two databases can be compared whole.
import { sql } from 'kysely'
import type { RawBuilder } from 'kysely'
import type { Database } from '../../db/connect.ts'
import { factTables } from '../../api/journal/fact-rows.ts'
import { recordRules } from '../../api/journal/finding-rules.ts'

/** All facts, balances (other than zero) and findings, sorted: equal texts mean equal state. */
export async function factsSnapshot(db: Database): Promise<Record<string, string[]>> {
  const snapshot: Record<string, string[]> = {}
  for (const table of factTables) snapshot[table] = await rowsOf(db, table)
  snapshot.balance = await rowsOf(db, 'balance', sql`t.count <> 0`)
  snapshot.finding = await rowsOf(db, 'finding')
  return snapshot
}

/** A snapshot without what depends on when the server recorded the entries. */
export function withoutRecordTimes(snapshot: Record<string, string[]>): Record<string, string[]> {
  const codes = recordRules.map(({ code }) => `"code": "${code}"`)
  const finding = snapshot.finding?.filter((row) => !codes.some((code) => row.includes(code)))
  return { ...snapshot, finding: finding ?? [] }
}

async function rowsOf(
  db: Database,
  table: string,
  where: RawBuilder<unknown> = sql`true`,
): Promise<string[]> {
  const rows = await sql<{ row: string }>`
    select to_jsonb(t)::text as row from ${sql.table(table)} t where ${where} order by 1
  `.execute(db)
  return rows.rows.map(({ row }) => row)
}
