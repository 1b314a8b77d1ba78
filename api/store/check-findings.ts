// What the records can show to be wrong about checks of wood, and about the ends of baths.
import { sql } from 'kysely'
import { isoTime, rule } from '../journal/finding-rule.ts'
import type { FindingRule } from '../journal/finding-rule.ts'

const bathEmptiedBeforeFilled = rule(
  'bath_emptied_before_filled',
  'bath',
  'bath_id',
  (ids) => sql`
    with filled as (
      select bath_id, min(filled_at) as at from bath where bath_id = any(${ids}) group by bath_id
    ), ended as (
      select bath_id, min(emptied_at) as at from bath_end
      where bath_id = any(${ids}) group by bath_id
    )
    select f.bath_id, ${isoTime('f.at')} as filled_at, ${isoTime('e.at')} as emptied_at
    from filled f join ended e on e.bath_id = f.bath_id and e.at < f.at`,
)

const moreLiveThanSampled = rule('more_live_than_sampled', 'lot', 'lot_id', (ids) => {
  return sql`
    select lot_id, count(*)::int as checks, max(live_count) as live,
      min(sampled_count) as sampled
    from viability_check where lot_id = any(${ids}) and live_count > sampled_count
    group by lot_id`
})

const driedToMore = rule('dried_to_more', 'lot', 'lot_id', (ids) => {
  return sql`
    select lot_id, count(*)::int as checks from moisture_check
    where lot_id = any(${ids}) and measured_by = 'oven' and second_grams > first_grams
    group by lot_id`
})

export const checkFindings: FindingRule[] = [
  bathEmptiedBeforeFilled,
  moreLiveThanSampled,
  driedToMore,
]
