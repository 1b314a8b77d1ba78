// What the records can show to be wrong about tags.
import { sql } from 'kysely'
import { rule, isoTime } from '../journal/finding-rule.ts'
import type { FindingRule } from '../journal/finding-rule.ts'

/** Invariant 5: the earliest binding counts; any other thing with the code is a finding. */
const tagOnTwoThings = rule('tag_on_two_things', 'code', 'code', (ids) => {
  return sql`
    select b.code, jsonb_agg(jsonb_build_object('kind', b.thing_kind, 'id', b.thing_id)
      order by b.first_at, b.thing_id, b.thing_kind) as things
    from (
      select code, thing_kind, thing_id, min(occurred_at) as first_at from tag_binding
      where code = any(${ids}) group by 1, 2, 3
    ) b
    group by b.code having count(*) > 1`
})

const tagUsedAfterEnd = rule('tag_used_after_end', 'code', 'code', (ids) => {
  return sql`
    with ended as (
      select distinct on (code) code, how, occurred_at from tag_end
      where code = any(${ids}) order by code, occurred_at, entry_id
    ), late as (
      select e.code, e.how, e.occurred_at as ended, max(b.occurred_at) as bound
      from ended e join tag_binding b on b.code = e.code and b.occurred_at > e.occurred_at
      group by 1, 2, 3
    )
    select code, how, ${isoTime('ended')} as ended_at, ${isoTime('bound')} as bound_at from late`
})

const tagNotOurs = rule('tag_not_ours', 'code', 'code', (ids) => {
  return sql`
    select code, count(*)::int as bindings from tag_binding b
    where code = any(${ids})
      and not exists (select 1 from tag_print p where p.code = b.code)
    group by code`
})

/** Knives are known by their tags alone, so that none of them is unknown. */
const thingOfTagUnknown = rule(
  'thing_of_tag_unknown',
  'code',
  'code',
  (ids) => sql`
    select distinct b.code, b.thing_kind as kind, b.thing_id as id from tag_binding b
    where b.code = any(${ids}) and not case b.thing_kind
      when 'lot' then exists (select 1 from lot l where l.lot_id = b.thing_id)
      when 'bundle' then exists (select 1 from bundle u where u.bundle_id = b.thing_id)
      when 'place' then exists (select 1 from place p where p.place_id = b.thing_id)
      when 'row' then exists (select 1 from block_row r where r.row_id = b.thing_id)
      when 'source' then exists (select 1 from source s where s.source_id = b.thing_id)
      when 'bath' then exists (select 1 from bath a where a.bath_id = b.thing_id)
      else true end`,
  ['kind', 'id'],
)

export const tagFindings: FindingRule[] = [
  tagOnTwoThings,
  tagUsedAfterEnd,
  tagNotOurs,
  thingOfTagUnknown,
]
