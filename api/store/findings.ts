// What the records can show to be wrong about baths and places.
import { sql } from 'kysely'
import { rule, isoTime } from '../journal/finding-rule.ts'
import type { FindingRule } from '../journal/finding-rule.ts'

const bathUnknown = rule('bath_unknown', 'bath', 'bath_id', (ids) => {
  return sql`
    with strange as materialized (
      select id from unnest(${ids}) as id
      where not exists (select 1 from bath b where b.bath_id = id)
    ), named as (
      select s.id, m.entry_id from strange s
        join movement m on m.account_id = s.id and m.account_kind = 'bath'
      union
      select s.id, e.entry_id from strange s join bath_end e on e.bath_id = s.id
    )
    select id as bath_id, count(distinct entry_id)::int as entries from named group by id`
})

const bathFilledTwice = rule('bath_filled_twice', 'bath', 'bath_id', (ids) => {
  return sql`
    select bath_id, count(*)::int as entries from bath
    where bath_id = any(${ids}) group by bath_id having count(*) > 1`
})

const emptied = (ids: unknown) => sql`
  emptied as (
    select bath_id, min(emptied_at) as at from bath_end
    where bath_id = any(${ids}) group by bath_id
  )`

/** The bath is over, and the books still have wood in it: nobody told where it went. */
const soakWithoutEnd = rule(
  'soak_without_end',
  'bath',
  'bath_id',
  (ids) => sql`
    with ${emptied(ids)}, held as (
      select e.bath_id, b.lot_id, e.at, sum(b.count * case b.unit when 'bud' then 1 else
        greatest(1, coalesce((select l.buds_per_stick from lot l where l.lot_id = b.lot_id
          order by l.occurred_at, l.entry_id, l.line limit 1), 1)) end) as left_in
      from emptied e join balance b on b.account_kind = 'bath' and b.account_id = e.bath_id
      where b.count <> 0
      group by 1, 2, 3
    )
    select bath_id, lot_id, left_in::bigint as bud_equivalents, ${isoTime('at')} as emptied_at
    from held where left_in > 0`,
  ['lot_id'],
)

const soakedInEmptiedBath = rule(
  'soaked_in_emptied_bath',
  'bath',
  'bath_id',
  (ids) => sql`
    with ${emptied(ids)}, late as (
      select e.bath_id, s.lot_id, e.at, max(s.occurred_at) as began
      from emptied e join soak s on s.bath_id = e.bath_id and s.mark = 'began'
      where s.occurred_at > e.at group by 1, 2, 3
    )
    select bath_id, lot_id, ${isoTime('at')} as emptied_at, ${isoTime('began')} as began_at
    from late`,
  ['lot_id'],
)

const soakedBeforeFilled = rule(
  'soaked_before_filled',
  'bath',
  'bath_id',
  (ids) => sql`
    with filled as (
      select bath_id, min(filled_at) as at from bath where bath_id = any(${ids}) group by bath_id
    ), early as (
      select f.bath_id, s.lot_id, f.at, min(s.occurred_at) as began
      from filled f join soak s on s.bath_id = f.bath_id and s.mark = 'began'
      where s.occurred_at < f.at group by 1, 2, 3
    )
    select bath_id, lot_id, ${isoTime('at')} as filled_at, ${isoTime('began')} as began_at
    from early`,
  ['lot_id'],
)

/** Wood comes into water by a soak, or straight from where it was cut, received or parted. */
const soakEndedNotBegun = rule(
  'soak_ended_not_begun',
  'bath',
  'bath_id',
  (ids) => sql`
    with ended as (
      select s.bath_id, s.lot_id, min(s.occurred_at) as at from soak s
      where s.bath_id = any(${ids}) and s.mark = 'ended' and not exists (
        select 1 from movement m
        where m.account_id = s.bath_id and m.account_kind = 'bath' and m.lot_id = s.lot_id
          and m.count > 0 and m.occurred_at <= s.occurred_at
      )
      group by 1, 2
    )
    select bath_id, lot_id, ${isoTime('at')} as ended_at from ended`,
  ['lot_id'],
)

const soakedInHeldBath = rule(
  'soaked_in_held_bath',
  'bath',
  'bath_id',
  (ids) => sql`
    with held as (
      select distinct on (h.hold_id) h.hold_id, h.on_id as bath_id, h.placed_at,
        coalesce((select min(l.lifted_at) from hold_lift l where l.hold_id = h.hold_id),
          'infinity'::timestamptz) as lifted_at
      from hold h where h.on_id = any(${ids}) and h.on_kind = 'bath'
      order by h.hold_id, h.placed_at, h.entry_id
    ), used as (
      select h.bath_id, h.hold_id, s.lot_id, count(*)::int as soaks, min(s.occurred_at) as first
      from held h join soak s on s.bath_id = h.bath_id and s.mark = 'began'
        and s.occurred_at >= h.placed_at and s.occurred_at < h.lifted_at
      group by 1, 2, 3
    )
    select distinct on (bath_id, lot_id) bath_id, lot_id, hold_id, soaks,
      ${isoTime('first')} as first_at
    from used order by bath_id, lot_id, first, hold_id`,
  ['lot_id'],
)

/** Wood that lies, or a bath that stands, in a place nobody registered. */
const placeUnknown = rule('place_unknown', 'place', 'place_id', (ids) => {
  return sql`
    with strange as materialized (
      select id from unnest(${ids}) as id
      where not exists (select 1 from place p where p.place_id = id)
    ), named as (
      select s.id, m.entry_id from strange s
        join movement m on m.account_id = s.id and m.account_kind = 'place'
      union
      select s.id, b.entry_id from strange s join bath b on b.place_id = s.id
    )
    select id as place_id, count(distinct entry_id)::int as entries from named group by id`
})

export const storeFindings: FindingRule[] = [
  bathUnknown,
  bathFilledTwice,
  soakWithoutEnd,
  soakedInEmptiedBath,
  soakedBeforeFilled,
  soakEndedNotBegun,
  soakedInHeldBath,
  placeUnknown,
]
