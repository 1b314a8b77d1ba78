// Which entries tell of a scope, the weightiest first, so that a limit cuts off the least.
import { sql } from 'kysely'
import type { Database } from '../../db/connect.ts'
import type { DossierScope } from './scope.ts'

/** The entries found: their indexes, and whether more tell of the scope than were asked for. */
export type ToldEntries = { indexes: number[]; all: number }

/**
 * Indexes below `size` of the entries that tell of the scope, at most `limit`, in order of the
 * journal, and how many there are. `supports` (entry ids) come first; then what was done with the
 * lots (custody, water, treatments, tags, holds); then disinfections of blades and removals; then
 * grafts, row by row; last looks at take. What was withdrawn of these comes with them, and so do
 * the keys of the devices that recorded them.
 */
export async function toldEntries(
  db: Database,
  scope: DossierScope,
  supports: readonly string[],
  { size, limit }: { size: number; limit: number },
): Promise<ToldEntries> {
  const { rows } = await sql<{ journal_index: number; all: number }>`
    with ${told(scope, supports)},
    withdrawn as (
      select w.entry_id as id, told.tier, told.place from withdrawal w
        join told on told.id = w.withdrawn_id
    ),
    ranked as (
      select id, min(tier) as tier, min(place) as place
      from (select * from told union all select * from withdrawn) t group by id
    ),
    used as (
      select e.journal_index, e.device_id, r.tier, r.place from ranked r
        join entry e on e.id = r.id where e.journal_index < ${size}
    ),
    keyed as (
      select e.journal_index, 0 as tier, 0 as place from device_key k
        join entry e on e.id = k.entry_id and e.journal_index < ${size}
      where k.device_id in (select device_id from used)
    ),
    together as (
      select journal_index, min(tier) as tier, min(place) as place
      from (select journal_index, tier, place from used union all select * from keyed) t
      group by journal_index
    )
    select journal_index, (count(*) over ())::int as all from together
    order by tier, place, journal_index limit ${limit}`.execute(db)
  const indexes = rows.map((row) => row.journal_index).sort((one, other) => one - other)
  return { indexes, all: rows[0]?.all ?? 0 }
}

/** Entry ids with their tier and, for grafts, the place of their row. */
function told(scope: DossierScope, supports: readonly string[]) {
  const lotIds = scope.lots.map((lot) => lot.lot_id)
  const things = [
    ...lotIds,
    ...scope.sources.map((source) => source.source_id),
    ...(scope.blockId === null ? [] : [scope.blockId]),
  ]
  return sql`thing as (
      select unnest(${things}::uuid[]) as id
      union select bundle_id from bundle where lot_id = any(${lotIds}::uuid[])
      union select bath_id from soak where lot_id = any(${lotIds}::uuid[])
      union select hold_id from hold where on_id = any(${things}::uuid[])
    ),
    told(id, tier, place) as (
      select unnest(${[...supports]}::uuid[]), 0, 0
      union all select s.entry_id, 1, 0 from thing join entry_subject s on s.subject_id = thing.id
      union all select entry_id, 1, 0 from movement
        where lot_id = any(${lotIds}::uuid[]) and account_kind <> 'vine'
          and not exists (select 1 from graft g where g.entry_id = movement.entry_id)
      union all select entry_id, 1, 0 from bath where bath_id in (select id from thing)
      union all select entry_id, 1, 0 from bath_end where bath_id in (select id from thing)
      union all select entry_id, 1, 0 from tag_binding where thing_id in (select id from thing)
      union all select entry_id, 0, 0 from block_row
        where row_id = any(${[...scope.rows.keys()]}::uuid[])
      union all select entry_id, 0, 0 from variety union all select entry_id, 0, 0 from nursery
      union all ${scope.recall === null ? ofVines(scope) : ofRecall(scope.recall)}
    )`
}

function ofVines(scope: DossierScope) {
  const grafts = scope.grafts.map((graft) => graft.graft_id)
  const rows = scope.subject.kind === 'lot' ? [] : [...scope.rows.keys()]
  const { position } = scope.subject
  return sql`
    select unnest(${grafts}::uuid[]), 3, 0
    union all select entry_id, 2, 0 from graft_removal where graft_id = any(${grafts}::uuid[])
    union all select entry_id, 4, 0 from take_check where graft_id = any(${grafts}::uuid[])
    union all select entry_id, 4, 0 from take_check where row_id = any(${rows}::uuid[])
      and (${position} = 0 or position = ${position})
    union all select entry_id, 4, 0 from vine_skip where row_id = any(${rows}::uuid[])
      and (${position} = 0 or position = ${position})
    union all select entry_id, 2, 0 from trunk_layer where row_id = any(${rows}::uuid[])
    union all select entry_id, 2, 0 from vine_change where row_id = any(${rows}::uuid[])
      and (${position} = 0 or position = ${position})`
}

function ofRecall({ reach, layerEntries }: NonNullable<DossierScope['recall']>) {
  const grafts = reach.map(({ entry_id }) => entry_id)
  const places = reach.map(({ place }) => place)
  return sql`
    select * from (
      select id, 3, place from unnest(${grafts}::uuid[], ${places}::int[]) as g(id, place)
    ) reached
    union all select unnest(${layerEntries}::uuid[]), 2, 0
    union all select entry_id, 2, 0 from graft_removal where graft_id = any(${grafts}::uuid[])
    union all select v.entry_id, 2, 0 from vine_change v
      join graft g on g.entry_id = any(${grafts}::uuid[]) and g.row_id = v.row_id
        and g.position = v.position
    union all select c.entry_id, 2, 0 from tool_cleaning c
      join (
        select coalesce(knife_id, person_id) as blade, min(grafted_at) as first_at,
          max(grafted_at) as last_at
        from graft where entry_id = any(${grafts}::uuid[]) group by 1
      ) b on coalesce(c.knife_id, c.person_id) = b.blade
        and c.cleaned_at between b.first_at - interval '1 day' and b.last_at + interval '1 day'`
}
