// What the records can show to be wrong about wood that passed from hand to hand.
import { sql } from 'kysely'
import { isoTime, rule } from '../journal/finding-rule.ts'
import type { FindingRule } from '../journal/finding-rule.ts'

/**
 * Whoever took the wood over counted something else than was given. Of several acceptances one
 * that agrees settles it. An acceptance that names another lot accepts nothing of this one.
 */
const acceptedOtherCount = rule(
  'accepted_other_count',
  'lot',
  'lot_id',
  (ids) => sql`
    with taken as (
      select m.lot_id, m.entry_id as handover_id, m.account_id as holder_id, m.unit, m.count,
        m.bundle_id, w.accepted_at, w.count as accepted, w.unit as accepted_unit,
        w.bundle_id as accepted_bundle, row_number() over (
          partition by m.entry_id, m.line order by w.accepted_at desc, w.entry_id desc) as nr,
        bool_or(w.count = m.count and w.unit = m.unit and w.bundle_id = m.bundle_id)
          over (partition by m.entry_id, m.line) as agrees
      from movement m join wood_acceptance w
        on w.handover_id = m.entry_id and w.lot_id = m.lot_id
      where m.lot_id = any(${ids}) and m.account_kind = 'holder' and m.count > 0
    )
    select lot_id, handover_id, holder_id, unit, count as given, accepted, accepted_unit,
      bundle_id <> accepted_bundle as other_bundle, ${isoTime('accepted_at')} as accepted_at
    from taken where nr = 1 and not agrees`,
  ['handover_id'],
)

export const handoverFindings: FindingRule[] = [acceptedOtherCount]
