// How long wood has been in water, and how long ago what was soaked came out.
import { sql } from 'kysely'
import type { Database } from '../../db/connect.ts'

/** Wood that came out of water not long ago and is still at hand. */
export type Drained = {
  lotId: string
  reference: string
  variety: string | null
  tankName: string
  bathId: string
  /** When the last of it came out of that bath. */
  outAt: Date
}

/** How far back the list of drained wood looks, in days: longer ago, soaking counts for nothing. */
export const DRAINED_DAYS = 14
/** Most lots in the list. */
export const DRAINED_LIMIT = 200

/**
 * Lots whose wood came out of a bath in the last DRAINED_DAYS before `now` and of which something
 * is at hand outside water, the longest out first; each lot once, by its last bath.
 */
export async function readDrained(db: Database, now: Date): Promise<Drained[]> {
  const since = new Date(now.getTime() - DRAINED_DAYS * 86_400_000)
  const rows = await sql<Drained>`
    select d.lot_id as "lotId", l.reference, v.name as variety, d.bath_id as "bathId",
      coalesce(p.name, 'a tank') as "tankName", d.occurred_at as "outAt"
    from (
      select distinct on (lot_id) lot_id, bath_id, occurred_at from soak
      where mark = 'ended' and occurred_at >= ${since}
      order by lot_id, occurred_at desc, entry_id desc
    ) d
    join lateral (select * from lot where lot.lot_id = d.lot_id
      order by occurred_at, entry_id, line limit 1) l on true
    left join variety_now v on v.variety_id = l.variety_id
    left join lateral (select place_id from bath where bath.bath_id = d.bath_id
      order by filled_at, entry_id limit 1) b on true
    left join place_now p on p.place_id = b.place_id
    where exists (select 1 from balance x where x.lot_id = d.lot_id and x.count > 0
      and x.account_kind in ('place', 'holder', 'unknown'))
    order by d.occurred_at, d.lot_id limit ${DRAINED_LIMIT}`.execute(db)
  return rows.rows
}
