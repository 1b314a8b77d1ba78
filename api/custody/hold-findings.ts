// What the records can show to be wrong about holds: wood used while one stood, strange liftings.
import { sql } from 'kysely'
import { rule, isoTime } from '../journal/finding-rule.ts'
import type { FindingRule } from '../journal/finding-rule.ts'

/** A hold stands from its placing until its first lifting; told by occurred_at alone. */
const liftedAt = sql`coalesce((select min(l.lifted_at) from hold_lift l
  where l.hold_id = h.hold_id), 'infinity'::timestamptz)`

/**
 * Wood cut, grafted, given into a hand or put in water while a hold stood on its lot or on any lot
 * or source that it came of. Contacts are left to judgement. One finding for a lot and a hold.
 */
const usedOnHold = rule(
  'used_on_hold',
  'lot',
  'lot_id',
  (ids) => sql`
    with recursive up(lot_id, id) as (
      select id, id from unnest(${ids}) as id
      union
      select up.lot_id, e.from_id from up join lineage_edge e on e.to_id = up.id
    ), held as (
      select distinct on (up.lot_id, h.hold_id) up.lot_id, h.hold_id, h.on_kind, h.on_id,
        h.placed_at, ${liftedAt} as lifted_at
      from up join hold h on h.on_id = up.id and h.on_kind in ('lot', 'source')
      order by up.lot_id, h.hold_id, h.placed_at, h.entry_id
    ), used as (
      select h.lot_id, h.hold_id, u.*
      from held h cross join lateral (
        select 'cut' as what, l.occurred_at as at from lot l
        where l.lot_id = h.lot_id and l.made_by = 'cut'
          and l.occurred_at >= h.placed_at and l.occurred_at < h.lifted_at
        union all
        select 'graft', g.grafted_at from graft g
        where g.lot_id = h.lot_id and g.grafted_at >= h.placed_at and g.grafted_at < h.lifted_at
        union all
        select 'soak', s.occurred_at from soak s
        where s.lot_id = h.lot_id and s.mark = 'began'
          and s.occurred_at >= h.placed_at and s.occurred_at < h.lifted_at
        union all
        select 'hand over', m.occurred_at from movement m
        where m.lot_id = h.lot_id and m.account_kind = 'holder' and m.count > 0
          and m.occurred_at >= h.placed_at and m.occurred_at < h.lifted_at
          and not exists (select 1 from lot l where l.entry_id = m.entry_id)
      ) u
    ), counted as (
      select lot_id, hold_id, min(at) as first, max(at) as last,
        count(*) filter (where what = 'cut')::int as cuts,
        count(*) filter (where what = 'graft')::int as grafts,
        count(*) filter (where what = 'hand over')::int as hand_overs,
        count(*) filter (where what = 'soak')::int as soaks
      from used group by lot_id, hold_id
    )
    select c.lot_id, c.hold_id, h.on_kind, h.on_id, c.cuts, c.grafts, c.hand_overs, c.soaks,
      ${isoTime('c.first')} as first_at, ${isoTime('c.last')} as last_at
    from counted c join held h on h.lot_id = c.lot_id and h.hold_id = c.hold_id`,
  ['hold_id'],
)

const holdUnknown = rule('hold_unknown', 'hold', 'hold_id', (ids) => {
  return sql`
    with lifted as (
      select hold_id, min(lifted_at) as at from hold_lift l
      where hold_id = any(${ids})
        and not exists (select 1 from hold h where h.hold_id = l.hold_id)
      group by hold_id
    )
    select hold_id, ${isoTime('at')} as lifted_at from lifted`
})

export const holdFindings: FindingRule[] = [usedOnHold, holdUnknown]
