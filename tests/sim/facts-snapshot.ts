// Reads every fact table as plain text rows, so that two databases can be compared whole.
import { sql } from 'kysely'
import type { Database } from '../../db/connect.ts'
import { factTables } from '../../api/journal/fact-rows.ts'

/** All facts, balances (other than zero) and findings, sorted: equal texts mean equal state. */
export async function factsSnapshot(db: Database): Promise<Record<string, string[]>> {
  const snapshot: Record<string, string[]> = {}
  for (const table of factTables) {
    const rows = await sql<{ row: string }>`
      select to_jsonb(t)::text as row from ${sql.table(table)} t order by 1`.execute(db)
    snapshot[table] = rows.rows.map(({ row }) => row)
  }
  for (const view of ['balance', 'finding']) {
    const where = view === 'balance' ? sql`where t.count <> 0` : sql``
    const rows = await sql<{ row: string }>`
      select to_jsonb(t)::text as row from ${sql.table(view)} t ${where} order by 1`.execute(db)
    snapshot[view] = rows.rows.map(({ row }) => row)
  }
  return snapshot
}
