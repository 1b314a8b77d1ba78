// What the records can show to be wrong about a source.
import { sql } from 'kysely'
import { rule } from '../journal/finding-rule.ts'
import type { FindingRule } from '../journal/finding-rule.ts'

/** Most lots named in one finding; `lots` counts them all. */
const EXAMPLES = 20

/** Tests, inspections, standings and vines of a source that was never registered. */
const sourceUnknown = rule('source_unknown', 'source', 'source_id', (ids) => {
  return sql`
    with named as (
      select source_id, entry_id from source_test where source_id = any(${ids})
      union
      select source_id, entry_id from source_standing where source_id = any(${ids})
      union
      select source_id, entry_id from source_inspection where source_id = any(${ids})
      union
      select parent_source_id, entry_id from source where parent_source_id = any(${ids})
    )
    select n.source_id, count(distinct n.entry_id)::int as entries from named n
    where not exists (select 1 from source s where s.source_id = n.source_id)
    group by n.source_id`
})

/** Sources are blocks; a block's test tells of the vines that now stand in it as well. */
const sourceTestedPositiveLater = rule(
  'source_tested_positive_later',
  'source',
  'source_id',
  (ids) => sql`
    with positive as (
      select source_id, agent, min(sampled_on) as sampled_on from source_test
      where source_id = any(${ids}) and result = 'detected' group by 1, 2
    ), covered as (
      select distinct source_id as tested_id, source_id from positive
      union
      select v.parent_source_id, v.source_id from source_standing_row v
      where v.parent_source_id in (select source_id from positive)
    ), later as (
      select p.source_id, p.agent, p.sampled_on, l.lot_id
      from positive p join covered c on c.tested_id = p.source_id
        join lot l on l.source_id = c.source_id
      where (l.occurred_at at time zone 'UTC')::date < p.sampled_on
    )
    select source_id, agent, sampled_on::text as sampled_on,
      count(distinct lot_id)::int as lots,
      (array_agg(distinct lot_id order by lot_id))[1:${sql.lit(EXAMPLES)}] as examples
    from later group by source_id, agent, sampled_on`,
  ['agent'],
)

export const sourceFindings: FindingRule[] = [sourceUnknown, sourceTestedPositiveLater]
