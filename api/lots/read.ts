// Reads the list of lots: identity, how much is left at hand, whether a hold stands.
import { sql } from 'kysely'
import type { Database } from '../../db/connect.ts'
import { AT_HAND } from './lot-stock.ts'

/** One line of the lot list. Counts are whole sticks and buds still at hand, anywhere. */
export type LotLine = {
  lot_id: string
  reference: string
  made_by: string
  material: string | null
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

/** Which lots to list; what is left out does not narrow. */
export type LotFilter = {
  /** A part of the reference, variety or clone. */
  text?: string
  /** Only lots with something left at hand. */
  left?: boolean
  /** Only lots with a standing hold on themselves or on their source. */
  held?: boolean
  /** Only lots made from this time on. */
  since?: Date
  /** Counts from 0. */
  page?: number
}

/** Most lots on one page of the list. */
export const LOT_PAGE = 100

/**
 * Lots that fit, newest first. Buds set on vines are not at hand; a lot whose sticks were opened
 * shows fewer bud equivalents.
 */
export async function listLots(db: Database, filter: LotFilter): Promise<LotLine[]> {
  const like = `%${(filter.text ?? '').replace(/[\\%_]/g, '\\$&')}%`
  const since = filter.since ?? null
  const held = (lot: 'l' | 'p') => sql`exists (select 1 from standing_hold h
    where h.on_id in (${sql.ref(lot)}.lot_id, ${sql.ref(lot)}.source_id))`
  const left = sql`exists (select 1 from balance b where b.lot_id = l.lot_id and b.count > 0
    and b.account_kind = any(${AT_HAND}::text[]))`
  // Not from lot_first: it would put all lots in order before a page is taken.
  const first = sql`not exists (select 1 from lot o where o.lot_id = l.lot_id
    and (o.occurred_at, o.entry_id, o.line) < (l.occurred_at, l.entry_id, l.line))`
  const rows = await sql<LotLine>`
    with page as materialized (
      select l.*, v.name as variety
      from lot l left join variety_now v on v.variety_id = l.variety_id
      where (l.reference ilike ${like} or v.name ilike ${like} or l.clone ilike ${like})
        and (${since}::timestamptz is null or l.occurred_at >= ${since})
        and (${filter.left !== true} or ${left})
        and (${filter.held !== true} or ${held('l')})
        and ${first}
      order by l.occurred_at desc, l.lot_id
      limit ${LOT_PAGE} offset ${(filter.page ?? 0) * LOT_PAGE}
    )
    select p.lot_id, p.reference, p.made_by, p.material, p.variety, p.clone, p.class,
      s.name as source,
      p.occurred_at as made_at, ${held('p')} as held,
      coalesce(b.sticks, 0)::bigint as sticks, coalesce(b.buds, 0)::bigint as buds,
      (coalesce(b.sticks, 0) * greatest(p.buds_per_stick, 1) + coalesce(b.buds, 0))::bigint
        as bud_equivalents,
      coalesce(b.buds_set, 0)::bigint as buds_set
    from page p
    left join source_now s on s.source_id = p.source_id
    left join lateral (
      select
        sum(count) filter (where unit = 'stick' and account_kind = any(${AT_HAND}::text[]))
          as sticks,
        sum(count) filter (where unit = 'bud' and account_kind = any(${AT_HAND}::text[])) as buds,
        sum(count) filter (where account_kind = 'vine') as buds_set
      from balance where lot_id = p.lot_id
    ) b on true
    order by p.occurred_at desc, p.lot_id`.execute(db)
  return rows.rows
}
