// What the records can show to be wrong about grafts, take checks and removals.
import { sql } from 'kysely'
import { rule, isoTime } from '../journal/finding-rule.ts'
import type { FindingRule } from '../journal/finding-rule.ts'

const isWithdrawn = sql`exists (select 1 from withdrawal w where w.withdrawn_id = n.graft_id)`

const graftOfTakeUnknown = rule('graft_of_take_unknown', 'graft', 'graft_id', (ids) => {
  return sql`
    select n.graft_id, count(distinct n.entry_id)::int as checks, ${isWithdrawn} as withdrawn
    from take_check n
    where n.graft_id = any(${ids})
      and not exists (select 1 from graft g where g.entry_id = n.graft_id)
    group by n.graft_id`
})

const removedGraftUnknown = rule('removed_graft_unknown', 'graft', 'graft_id', (ids) => {
  return sql`
    select n.graft_id, count(*)::int as removals, ${isWithdrawn} as withdrawn
    from graft_removal n
    where n.graft_id = any(${ids})
      and not exists (select 1 from graft g where g.entry_id = n.graft_id)
    group by n.graft_id`
})

const takeMoreBudsThanSet = rule('take_more_buds_than_set', 'graft', 'graft_id', (ids) => {
  return sql`
    select g.entry_id as graft_id, g.bud_count as buds_set,
      max(c.growing + c.callused + c.failed) as buds_seen
    from graft g join take_check c on c.graft_id = g.entry_id
    where g.entry_id = any(${ids})
    group by g.entry_id, g.bud_count
    having max(c.growing + c.callused + c.failed) > g.bud_count`
})

const takeOnOtherVine = rule('take_on_other_vine', 'graft', 'graft_id', (ids) => {
  return sql`
    select distinct on (g.entry_id) g.entry_id as graft_id, g.row_id, g.position,
      c.row_id as seen_row_id, c.position as seen_position
    from graft g join take_check c on c.graft_id = g.entry_id
    where g.entry_id = any(${ids}) and (c.row_id, c.position) <> (g.row_id, g.position)
    order by g.entry_id, c.checked_at desc, c.entry_id desc, c.line desc`
})

const grewAfterRemoval = rule('grew_after_removal', 'graft', 'graft_id', (ids) => {
  return sql`
    with removed as (
      select graft_id, min(occurred_at) as at from graft_removal
      where graft_id = any(${ids}) group by graft_id
    ), seen as (
      select r.graft_id, r.at as removed, max(c.checked_at) as seen
      from removed r join take_check c on c.graft_id = r.graft_id
        and c.growing > 0 and c.checked_at > r.at
      group by 1, 2
    )
    select graft_id, ${isoTime('removed')} as removed_at, ${isoTime('seen')} as seen_at from seen`
})

export const graftFindings: FindingRule[] = [
  graftOfTakeUnknown,
  removedGraftUnknown,
  takeMoreBudsThanSet,
  takeOnOtherVine,
  grewAfterRemoval,
]
