// What the records can show to be wrong about a lot's making and its quantities.
import { sql } from 'kysely'
import { NIL_ID } from '#wire/basics.ts'
import { rule, isoTime } from '../journal/finding-rule.ts'
import type { FindingRule } from '../journal/finding-rule.ts'
import { CLOCK_AHEAD_MINUTES } from '../journal/count-entries.ts'

/** Sticks and buds of a balance row in buds; a stick without usable buds still counts for one. */
const equivalents = sql`b.count * case b.unit when 'stick' then l.per_stick else 1 end`

/** The lots in question as their first making says, with buds per stick. */
const known = (ids: unknown) => sql`
  select distinct on (lot_id) lot_id, occurred_at, greatest(coalesce(buds_per_stick, 1), 1)
    as per_stick
  from lot where lot_id = any(${ids}) order by lot_id, occurred_at, entry_id, line`

const lotUnknown = rule('lot_unknown', 'lot', 'lot_id', (ids) => {
  return sql`
    with strange as materialized (
      select id from unnest(${ids}) as id
      where not exists (select 1 from lot l where l.lot_id = id)
    )
    select m.lot_id, count(distinct m.entry_id)::int as entries
    from strange join movement m on m.lot_id = strange.id group by m.lot_id`
})

const lotMadeTwice = rule('lot_made_twice', 'lot', 'lot_id', (ids) => {
  return sql`
    select lot_id, count(*)::int as entries,
      array_agg(distinct reference order by reference) as "references"
    from lot where lot_id = any(${ids}) group by lot_id having count(*) > 1`
})

const referenceTaken = rule('reference_taken', 'reference', 'reference', (ids) => {
  return sql`
    select reference, array_agg(distinct lot_id order by lot_id) as lots
    from lot where reference = any(${ids})
    group by reference having count(distinct lot_id) > 1`
})

const moreThanThereWas = rule(
  'more_than_there_was',
  'lot',
  'lot_id',
  (ids) => sql`
    with l as (${known(ids)})
    select b.lot_id, b.account_kind, b.account_id, sum(${equivalents})::bigint as bud_equivalents
    from l join balance b on b.lot_id = l.lot_id
    where b.account_kind in ('place', 'bath', 'holder', 'unknown')
    group by 1, 2, 3 having sum(${equivalents}) < 0`,
  ['account_kind', 'account_id'],
)

/** What was cut or taken over, less what other lots took over, is all that can stand on vines. */
const moreBudsSetThanCut = rule('more_buds_set_than_cut', 'lot', 'lot_id', (ids) => {
  return sql`
    with l as (${known(ids)}), sums as (
      select b.lot_id,
        coalesce(sum(b.count) filter (where b.account_kind = 'vine'), 0) as buds_set,
        coalesce(-sum(${equivalents})
          filter (where b.account_kind in ('source', 'supplier', 'lot')), 0) as bud_equivalents
      from l join balance b on b.lot_id = l.lot_id
      group by 1
    )
    select lot_id, buds_set::bigint as buds_set, bud_equivalents::bigint as bud_equivalents
    from sums where buds_set > bud_equivalents`
})

/** The books name the bundles; a bundle whose entries were all withdrawn is not there any more. */
const bundleUnknown = rule(
  'bundle_unknown',
  'lot',
  'lot_id',
  (ids) => sql`
    with strange as materialized (
      select distinct b.lot_id, b.bundle_id from balance b
      where b.lot_id = any(${ids}) and b.bundle_id <> ${NIL_ID} and not exists (
        select 1 from bundle u where u.bundle_id = b.bundle_id and u.lot_id = b.lot_id
      )
    )
    select m.lot_id, m.bundle_id, count(distinct m.entry_id)::int as entries
    from strange s join movement m on m.lot_id = s.lot_id and m.bundle_id = s.bundle_id
    group by 1, 2`,
  ['bundle_id'],
)

/** Clocks differ by minutes without harm. */
const usedBeforeMade = rule('used_before_made', 'lot', 'lot_id', (ids) => {
  return sql`
    with l as (${known(ids)}), used as (
      select l.lot_id, l.occurred_at as made, (
        select m.occurred_at from movement m
        where m.lot_id = l.lot_id order by m.occurred_at limit 1
      ) as used
      from l
    )
    select lot_id, ${isoTime('made')} as made_at, ${isoTime('used')} as used_at
    from used where used < made - ${CLOCK_AHEAD_MINUTES} * interval '1 minute'`
})

/**
 * Stays that overlap: what left a place before it came there lay in two places at once. What never
 * came at all is told as more than there was. What happens at one instant counts together.
 */
const leftBeforeItCame = rule(
  'left_before_it_came',
  'lot',
  'lot_id',
  (ids) => sql`
    with l as (${known(ids)}), changed as (
      select b.lot_id, b.account_id, b.occurred_at, sum(${equivalents}) as change
      from l join movement b on b.lot_id = l.lot_id
      where b.account_kind = 'place' group by 1, 2, 3
    ), held as (
      select lot_id, account_id, occurred_at,
        sum(change) over (partition by lot_id, account_id order by occurred_at) as there
      from changed
    ), gone as (
      select lot_id, account_id, min(occurred_at) as left_at, max(-there) as missing
      from held where there < 0 group by 1, 2
    ), came as (
      select g.lot_id, g.account_id, g.left_at, g.missing, (
        select min(h.occurred_at) from held h
        where h.lot_id = g.lot_id and h.account_id = g.account_id
          and h.occurred_at > g.left_at and h.there >= 0
      ) as came_at
      from gone g
    )
    select lot_id, account_id as place_id, ${isoTime('left_at')} as left_at,
      ${isoTime('came_at')} as came_at, missing::bigint as bud_equivalents
    from came where came_at > left_at + ${CLOCK_AHEAD_MINUTES} * interval '1 minute'`,
  ['place_id'],
)

export const lotFindings: FindingRule[] = [
  lotUnknown,
  lotMadeTwice,
  referenceTaken,
  moreThanThereWas,
  moreBudsSetThanCut,
  bundleUnknown,
  usedBeforeMade,
  leftBeforeItCame,
]
