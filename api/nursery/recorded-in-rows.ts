// Reads what the journal tells of rows beside their layout, for checks before they change.
import { sql } from 'kysely'
import type { Database } from '../../db/connect.ts'
import type { RecordedInRow } from './row-import.ts'

/** For each row: the last position with a graft, and where a vine was removed for good. */
export async function recordedInRows(
  db: Database,
  rowIds: readonly string[],
): Promise<Map<string, RecordedInRow>> {
  if (rowIds.length === 0) return new Map()
  const rows = await sql<{ row_id: string; last_grafted: number; removed: number[] }>`
    select r.row_id,
      coalesce((select max(position) from graft g where g.row_id = r.row_id), 0) as last_grafted,
      coalesce((
        select array_agg(position order by position) from (
          select distinct on (position) position, what from vine_change v
          where v.row_id = r.row_id order by position, occurred_at desc, entry_id desc
        ) latest where what = 'removed'), '{}') as removed
    from unnest(${rowIds}::uuid[]) as r(row_id)`.execute(db)
  return new Map(
    rows.rows.map((row) => [row.row_id, { lastGrafted: row.last_grafted, removed: row.removed }]),
  )
}
