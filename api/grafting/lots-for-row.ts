// Which lots at hand could be set in a row: those of the varieties planned there, or all.
import { sql } from 'kysely'
import type { Database } from '../../db/connect.ts'

/** Most lots that are offered; another is found by its reference. */
export const OFFERED_LOTS = 100

/**
 * Ids of lots of scion wood with something left in a place or in hand, those that a crew or a
 * person holds first, then the latest; of these varieties, or of any when none is named.
 */
export async function lotsForRow(db: Database, varietyIds: readonly string[]): Promise<string[]> {
  const rows = await sql<{ lot_id: string }>`
    with held as (
      select lot_id, bool_or(account_kind = 'holder' and count > 0) as in_hand
      from balance
      where account_kind in ('place', 'holder', 'unknown') and count <> 0 group by lot_id
    )
    select h.lot_id from held h
    join lateral (
      select variety_id, material, occurred_at from lot where lot.lot_id = h.lot_id
      order by occurred_at, entry_id, line limit 1
    ) l on true
    where l.material = 'scion wood'
      and (${varietyIds.length === 0} or l.variety_id = any(${varietyIds}::uuid[]))
    order by h.in_hand desc, l.occurred_at desc, h.lot_id limit ${OFFERED_LOTS}`.execute(db)
  return rows.rows.map((row) => row.lot_id)
}
