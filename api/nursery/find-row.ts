// Finds the row that a person means by its block's name and its label.
import { sql } from 'kysely'
import type { Database } from '../../db/connect.ts'

/** A row with the name that forms show and understand: `Lower bank, row 1`. */
export type RowNamed = { row_id: string; name: string; position_count: number }

/** The rows whose full name, or whose label alone, is `text`; capitals make no difference. */
export async function rowsByName(db: Database, text: string): Promise<RowNamed[]> {
  const wanted = text.toLowerCase()
  const rows = await sql<RowNamed & { exact: boolean }>`
    select row_id, name, position_count, lower(name) = ${wanted} as exact from (${named}) r
    where lower(name) = ${wanted} or lower(label) = ${wanted} order by name limit 10`.execute(db)
  const exact = rows.rows.filter((row) => row.exact)
  return exact.length > 0 ? exact : rows.rows
}

/** The full name of a row, or null when it was never laid out. */
export async function rowName(db: Database, rowId: string): Promise<string | null> {
  const rows = await sql<RowNamed>`
    select name from (${named}) r where row_id = ${rowId}`.execute(db)
  return rows.rows[0]?.name ?? null
}

/** Full names of rows to pick from while typing, at most `limit`. */
export async function rowNames(db: Database, limit = 500): Promise<string[]> {
  const rows = await sql<RowNamed>`
    select name from (${named}) r order by block_name, sequence limit ${limit}`.execute(db)
  return rows.rows.map((row) => row.name)
}

const named = sql`
  select r.row_id, r.label, r.sequence, r.position_count, b.name as block_name,
    coalesce(b.name || ', ', '') || 'row ' || r.label as name
  from block_row_now r left join block_now b on b.block_id = r.block_id`
