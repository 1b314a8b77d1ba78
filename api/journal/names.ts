// Finds the printed names behind ids: of people, parties, places, lots, rows and the rest.
import { sql } from 'kysely'
import type { Database } from '../../db/connect.ts'

/**
 * The name of each id that has one, in one query; an id that nothing describes is left out. A row
 * is named with its block, a bundle with its lot, a bath with its tank.
 */
export async function readNames(db: Database, ids: Iterable<string>): Promise<Map<string, string>> {
  const wanted = [...new Set(ids)]
  if (wanted.length === 0) return new Map()
  const any = sql`any(${wanted}::uuid[])`
  const rows = await sql<{ id: string; name: string }>`
    select person_id as id, name from person where person_id = ${any}
    union all select device_id, name from device where device_id = ${any}
    union all select party_id, name from party_now where party_id = ${any}
    union all select variety_id, name from variety_now where variety_id = ${any}
    union all select place_id, name from place_now where place_id = ${any}
    union all select logger_id, name from logger_now where logger_id = ${any}
    union all select source_id, name from source_now where source_id = ${any}
    union all select block_id, name from block_now where block_id = ${any}
    union all select lot_id, reference from lot_first where lot_id = ${any}
    union all
    select r.row_id, coalesce((select b.name from block b where b.block_id = r.block_id
      order by b.occurred_at desc, b.entry_id desc limit 1) || ', ', '') || 'row ' || r.label
    from block_row_now r where r.row_id = ${any}
    union all
    select b.bundle_id, coalesce((select l.reference from lot l where l.lot_id = b.lot_id
      order by l.occurred_at, l.entry_id, l.line limit 1) || ', ', '') || 'bundle ' || b.number
    from bundle_first b where b.bundle_id = ${any}
    union all
    select distinct on (b.bath_id) b.bath_id, coalesce((select 'bath in ' || p.name from place p
      where p.place_id = b.place_id order by p.occurred_at desc, p.entry_id desc limit 1), 'bath')
    from bath b where b.bath_id = ${any}`.execute(db)
  return new Map(rows.rows.map(({ id, name }) => [id, name]))
}
