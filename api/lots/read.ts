// Reads lots as they stand: identity, where the wood is, how much is left.
import { sql } from 'kysely'
import type { Database } from '../../db/connect.ts'

/** One line of the lot list. Counts are whole sticks and buds still at hand, anywhere. */
export type LotLine = {
  lot_id: string
  reference: string
  made_by: string
  variety: string | null
  clone: string | null
  class: string | null
  source: string | null
  made_at: Date
  sticks: number
  buds: number
  bud_equivalents: number
  buds_set: number
  held: boolean
}

/** Most lots on one page of the list. */
export const LOT_PAGE = 100

/**
 * Lots, newest first, whose reference, variety or clone contains `text`; `page` counts from 0.
 * Buds set on vines are not at hand; a lot whose sticks were opened shows fewer bud equivalents.
 */
export async function listLots(db: Database, text: string, page: number): Promise<LotLine[]> {
  const like = `%${text.replace(/[\\%_]/g, '\\$&')}%`
  const rows = await sql<LotLine>`
    with page as (
      select l.*, v.name as variety, s.name as source
      from lot_first l
      left join variety_now v on v.variety_id = l.variety_id
      left join source_now s on s.source_id = l.source_id
      where l.reference ilike ${like} or v.name ilike ${like} or l.clone ilike ${like}
      order by l.occurred_at desc, l.lot_id
      limit ${LOT_PAGE} offset ${page * LOT_PAGE}
    )
    select p.lot_id, p.reference, p.made_by, p.variety, p.clone, p.class, p.source,
      p.occurred_at as made_at,
      coalesce(b.sticks, 0)::int as sticks, coalesce(b.buds, 0)::int as buds,
      (coalesce(b.sticks, 0) * coalesce(p.buds_per_stick, 0) + coalesce(b.buds, 0))::int
        as bud_equivalents,
      coalesce(b.buds_set, 0)::int as buds_set,
      exists (select 1 from standing_hold h where h.on_id in (p.lot_id, p.source_id)) as held
    from page p
    left join lateral (
      select
        sum(count) filter (where unit = 'stick' and account_kind in ('place', 'bath', 'holder'))
          as sticks,
        sum(count) filter (where unit = 'bud' and account_kind in ('place', 'bath', 'holder'))
          as buds,
        sum(count) filter (where account_kind = 'vine') as buds_set
      from balance where lot_id = p.lot_id
    ) b on true
    order by p.occurred_at desc, p.lot_id`.execute(db)
  return rows.rows
}
