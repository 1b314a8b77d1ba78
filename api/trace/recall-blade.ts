// Which vines and lots a blade may have carried an agent to, between one disinfection and the next.
import { sql } from 'kysely'
import type { Database } from '../../db/connect.ts'
import { BLADE_CARRIES_HOURS } from '../lots/lot-holds.ts'
import { given } from './recall-steps.ts'
import type { ReachedByBlade, ReachedThing } from './recall-spread.ts'

type Contact = { row_id: string; position: number; lot_id: string; at: Date; via: string }

/**
 * Every graft is a cut by a blade: the tagged knife, or else the knife in the hand of that person.
 * A cut is foul when it was made with reached wood, or on a vine that holds it or was touched
 * before. From a foul cut on, every further cut with that blade is a contact, until the blade is
 * disinfected or lies unused for more than BLADE_CARRIES_HOURS (common practice, no source). Cuts
 * with wood that is reached already are left out: their vines hold it in any case.
 */
export async function bladeContacts(
  db: Database,
  things: readonly ReachedThing[],
  vines: readonly ReachedByBlade[],
): Promise<{ vines: ReachedByBlade[]; lots: ReachedThing[] }> {
  const rows = await sql<Contact>`
    with given as (${given(things)}), touched as (
      select * from unnest(${vines.map((vine) => vine.row_id)}::uuid[],
        ${vines.map((vine) => vine.position)}::int[],
        ${vines.map((vine) => vine.at.toISOString())}::timestamptz[]) as v(row_id, position, at)
      union all
      select g.row_id, g.position, min(g.grafted_at) from given t
        join graft g on g.lot_id = t.id and g.grafted_at >= t.at group by 1, 2
      union all
      select l.row_id, p.position, t.at from given t join trunk_layer l on l.origin_id = t.id
        cross join lateral generate_series(l.from_position, l.to_position) as p(position)
    ), foul as (
      select g.entry_id, g.lot_id as via from given t
        join graft g on g.lot_id = t.id and g.grafted_at >= t.at
      union
      select g.entry_id, g.lot_id from touched v
        join graft g on g.row_id = v.row_id and g.position = v.position and g.grafted_at >= v.at
    ), blade as (
      select distinct coalesce(g.knife_id, g.person_id) as blade from foul f
        join graft g on g.entry_id = f.entry_id
    ), event as (
      select coalesce(g.knife_id, g.person_id) as blade, g.grafted_at as at, g.entry_id,
        0 as is_cleaning
      from graft g where coalesce(g.knife_id, g.person_id) in (select blade from blade)
      union all
      select coalesce(c.knife_id, c.person_id), c.cleaned_at, c.entry_id, 1
      from tool_cleaning c where coalesce(c.knife_id, c.person_id) in (select blade from blade)
    ), gap as (
      select e.*, case when is_cleaning = 1 or at - lag(at) over before
        > ${BLADE_CARRIES_HOURS} * interval '1 hour' then 1 else 0 end as breaks
      from event e window before as (partition by blade order by at, is_cleaning desc, entry_id)
    ), spell as (
      select g.*, sum(breaks) over (partition by blade order by at, is_cleaning desc, entry_id)
        as nr from gap g
    ), first_foul as (
      select s.blade, s.nr, min(s.at) as foul_at, (array_agg(f.via order by s.at))[1] as via
      from spell s join foul f on f.entry_id = s.entry_id group by 1, 2
    )
    select g.row_id, g.position, g.lot_id, g.grafted_at as at, f.via
    from first_foul f join spell s on s.blade = f.blade and s.nr = f.nr and s.is_cleaning = 0
      and s.at > f.foul_at
      join graft g on g.entry_id = s.entry_id
    where not exists (
      select 1 from given t where t.id = g.lot_id and g.grafted_at >= t.at
    )`.execute(db)
  const lots = rows.rows.map(({ lot_id, at, via }) => ({
    id: lot_id,
    from: at,
    route: 'blade' as const,
    via,
  }))
  return {
    vines: rows.rows.map(({ row_id, position, at }) => ({ row_id, position, at })),
    lots: earliest(lots),
  }
}

function earliest(lots: ReachedThing[]): ReachedThing[] {
  const first = new Map<string, ReachedThing>()
  for (const lot of lots) {
    const before = first.get(lot.id)
    if (before === undefined || lot.from < before.from) first.set(lot.id, lot)
  }
  return [...first.values()]
}
