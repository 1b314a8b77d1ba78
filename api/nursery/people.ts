// Reads what must be settled before a person's time here ends.
import { sql } from 'kysely'
import type { Database } from '../../db/connect.ts'

/** The lots of which wood is still with a person, by reference. */
export async function woodHeldBy(db: Database, holderId: string): Promise<string[]> {
  const rows = await sql<{ reference: string }>`
    select l.reference
    from (
      select b.lot_id, sum(case b.unit when 'stick' then b.count else 0 end) as sticks,
        sum(case b.unit when 'bud' then b.count else 0 end) as buds
      from balance b where b.account_kind = 'holder' and b.account_id = ${holderId}
      group by b.lot_id
    ) held
    join lateral (
      select reference, buds_per_stick from lot where lot.lot_id = held.lot_id
      order by occurred_at, entry_id, line limit 1
    ) l on true
    where held.sticks * greatest(coalesce(l.buds_per_stick, 1), 1) + held.buds > 0
    order by l.reference`.execute(db)
  return rows.rows.map((row) => row.reference)
}
