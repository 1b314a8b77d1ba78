// Which lots a phone is told of: those with wood left or used lately, and what they were parted of.
import { sql } from 'kysely'
import type { Database } from '../../db/connect.ts'
import type { Season } from './season.ts'

/** Lots to be told, and lots that are told no more. */
export type LotChoice = { lotIds: string[]; goneLots: string[] }

/**
 * Every lot with wood left, made this season or the last, or set on a vine in them, or of which
 * entries tell though none made it yet; and the lots that these were parted from or combined of,
 * whose stays and soaks are theirs too.
 */
export async function chooseAllLots(db: Database, season: Season): Promise<LotChoice> {
  const rows = await sql<{ lot_id: string }>`
    with recursive ${wantedLots(season, sql`true`)}, up(lot_id) as (
      select lot_id from wanted
      union
      select p.parent_lot_id from up join lot_parent p on p.lot_id = up.lot_id
    )
    select lot_id from up order by lot_id`.execute(db)
  return { lotIds: rows.rows.map((row) => row.lot_id), goneLots: [] }
}

/**
 * Of the same lots, those that `touched` ids can have changed, and those that they can have ended.
 * Whether a lot is told depends on itself and on the parts that were made of it; what it is told
 * with, on itself and on the lots it was made of. So the touched lots, the parts made of them, and
 * whatever any of these was made of, are all that needs looking at.
 */
export async function chooseTouchedLots(
  db: Database,
  season: Season,
  touched: ReadonlySet<string>,
): Promise<LotChoice> {
  if (touched.size === 0) return { lotIds: [], goneLots: [] }
  const rows = await sql<{ lot_id: string; told: boolean }>`
    with recursive down(lot_id) as (
      select unnest(${[...touched]}::uuid[])
      union
      select p.lot_id from down join lot_parent p on p.parent_lot_id = down.lot_id
    ), looked(lot_id) as (
      select lot_id from down
      union
      select p.parent_lot_id from looked join lot_parent p on p.lot_id = looked.lot_id
    ), made(root, lot_id) as (
      select lot_id, lot_id from looked
      union
      select made.root, p.lot_id from made join lot_parent p on p.parent_lot_id = made.lot_id
    ), ${wantedLots(season, sql`lot_id in (select lot_id from made)`)}
    select root as lot_id, bool_or(wanted.lot_id is not null) as told
    from made left join wanted on wanted.lot_id = made.lot_id
    group by root order by root`.execute(db)
  const other = await idsOfOtherThings(
    db,
    rows.rows.flatMap((row) => (row.told ? [] : row.lot_id)),
  )
  return {
    lotIds: rows.rows.flatMap((row) => (row.told ? row.lot_id : [])),
    goneLots: rows.rows.flatMap((row) => (row.told || other.has(row.lot_id) ? [] : row.lot_id)),
  }
}

/** A common table expression `wanted`: lots among those that fit `condition` on a lot_id. */
function wantedLots({ beforeMs }: Season, condition: ReturnType<typeof sql>) {
  const since = new Date(beforeMs)
  return sql`wanted as (
    select lot_id from lot where occurred_at >= ${since} and ${condition}
    union
    select lot_id from graft where grafted_at >= ${since} and ${condition}
    union
    select held.lot_id from (
      select lot_id, coalesce(sum(count) filter (where unit = 'stick'), 0) as sticks,
        coalesce(sum(count) filter (where unit = 'bud'), 0) as buds
      from balance
      where count <> 0 and account_kind in ('place', 'bath', 'holder', 'unknown') and ${condition}
      group by lot_id
    ) held left join lateral (
      select lot_id, buds_per_stick from lot where lot.lot_id = held.lot_id
      order by occurred_at, entry_id, line limit 1
    ) made on true
    where made.lot_id is null
      or held.sticks * greatest(coalesce(made.buds_per_stick, 1), 1) + held.buds > 0
  )`
}

/** Of ids that entries name, those of things that are no lot and so are never told as gone. */
async function idsOfOtherThings(db: Database, ids: string[]): Promise<Set<string>> {
  if (ids.length === 0) return new Set()
  const any = sql`any(${ids}::uuid[])`
  const rows = await sql<{ id: string }>`
    select entry_id as id from graft where entry_id = ${any}
    union select row_id from block_row where row_id = ${any}
    union select block_id from block where block_id = ${any}
    union select place_id from place where place_id = ${any}
    union select bath_id from bath where bath_id = ${any}
    union select source_id from source where source_id = ${any}
    union select variety_id from variety where variety_id = ${any}
    union select party_id from party where party_id = ${any}
    union select person_id from person where person_id = ${any}
    union select bundle_id from bundle where bundle_id = ${any}
    union select knife_id from graft
      where coalesce(knife_id, person_id) = ${any} and knife_id is not null`.execute(db)
  return new Set(rows.rows.map((row) => row.id))
}
