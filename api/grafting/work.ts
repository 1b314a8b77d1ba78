// What is left to graft of this season's plans, and whose take is due to be counted.
import { sql } from 'kysely'
import type { Database } from '../../db/connect.ts'

/** A block's plan of one season by variety: vines planned, grafted in it, and skipped. */
export type PlanProgress = {
  block_id: string | null
  block: string | null
  variety: string | null
  clone: string | null
  rows: number
  planned: number
  grafted: number
  skipped: number
}

/** How far the plans of `season` (a calendar year, in `zone`) have come, by block and variety. */
export async function planProgress(
  db: Database,
  season: number,
  zone: string,
): Promise<PlanProgress[]> {
  const rows = await sql<PlanProgress>`
    with plan as (
      select distinct on (row_id, from_position, to_position) * from row_plan
      where season = ${season}
      order by row_id, from_position, to_position, occurred_at desc, entry_id desc
    ), done as (
      select p.entry_id,
        (select count(distinct g.position)::int from graft g
          where g.row_id = p.row_id and g.position between p.from_position and p.to_position
            and extract(year from g.grafted_at at time zone ${zone}) = ${season}) as grafted,
        (select count(distinct s.position)::int from vine_skip s
          where s.row_id = p.row_id and s.position between p.from_position and p.to_position
            and extract(year from s.occurred_at at time zone ${zone}) = ${season}) as skipped,
        (select count(*)::int from unnest(r.missing) as m(position)
          where m.position between p.from_position and p.to_position) as missing,
        r.block_id
      from plan p left join block_row_now r on r.row_id = p.row_id
    )
    select d.block_id, b.name as block, v.name as variety, p.clone, count(*)::int as rows,
      sum(p.to_position - p.from_position + 1 - coalesce(d.missing, 0))::int as planned,
      sum(d.grafted)::int as grafted, sum(d.skipped)::int as skipped
    from plan p join done d on d.entry_id = p.entry_id
      left join block_now b on b.block_id = d.block_id
      left join variety_now v on v.variety_id = p.variety_id
    group by 1, 2, 3, 4 order by 2, 3, 4`.execute(db)
  return rows.rows
}

/** A row with grafts that nobody has looked at since. */
export type TakeDue = {
  row_id: string
  row_label: string | null
  block: string | null
  vines: number
  first_grafted_at: Date
}

/** Rows on one list of due counts. */
export const TAKE_DUE_LIMIT = 100

/**
 * Rows with unchecked grafts made between `from` and `to`, the longest waiting first. A first look
 * at two to three weeks and a count at six to eight weeks are common practice, no source.
 */
export async function takeDue(db: Database, from: Date, to: Date): Promise<TakeDue[]> {
  const rows = await sql<TakeDue>`
    select g.row_id, r.label as row_label, b.name as block,
      count(distinct g.position)::int as vines, min(g.grafted_at) as first_grafted_at
    from graft g
      left join block_row_now r on r.row_id = g.row_id
      left join block_now b on b.block_id = r.block_id
    where g.grafted_at >= ${from} and g.grafted_at <= ${to}
      and not exists (select 1 from graft_removal x where x.graft_id = g.entry_id)
      and not exists (
        select 1 from take_check c
        where c.row_id = g.row_id and c.position = g.position and c.checked_at > g.grafted_at
      )
    group by 1, 2, 3 order by min(g.grafted_at), 1 limit ${TAKE_DUE_LIMIT}`.execute(db)
  return rows.rows
}
