// Reads one graft by its id.
import { sql } from 'kysely'
import type { Database } from '../../db/connect.ts'

/** A graft with its row and lot named, and the first removal, if any. */
export type GraftRead = {
  graft_id: string
  row_id: string
  position: number
  row_name: string | null
  reference: string | null
  grafted_at: Date
  removed_at: Date | null
}

/** The graft, or null when none stands under this id. */
export async function readGraft(db: Database, graftId: string): Promise<GraftRead | null> {
  const rows = await sql<GraftRead>`
    select g.entry_id as graft_id, g.row_id, g.position, g.grafted_at,
      (select coalesce((select b.name from block b where b.block_id = r.block_id
          order by b.occurred_at desc, b.entry_id desc limit 1) || ', ', '') || 'row ' || r.label
        from block_row r where r.row_id = g.row_id
        order by r.occurred_at desc, r.entry_id desc limit 1) as row_name,
      (select l.reference from lot l where l.lot_id = g.lot_id
        order by l.occurred_at, l.entry_id, l.line limit 1) as reference,
      (select min(occurred_at) from graft_removal x where x.graft_id = g.entry_id) as removed_at
    from graft g where g.entry_id = ${graftId}`.execute(db)
  return rows.rows[0] ?? null
}
