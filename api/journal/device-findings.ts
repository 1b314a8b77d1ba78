// What the records can show to be wrong about devices, their clocks, and withdrawals.
import { sql } from 'kysely'
import { rule } from './finding-rule.ts'
import type { FindingRule } from './finding-rule.ts'

/** Most gaps told of one device; the lowest come first. */
const GAP_LIMIT = 200

/** A counter that never came shows an entry that was lost, or is still on the device. */
const counterMissing = rule(
  'counter_missing',
  'device',
  'device_id',
  (ids) => sql`
    select d.id as device_id, gap."from", gap."to"
    from unnest(${ids}) as d(id) cross join lateral (
      select coalesce(lag(to_counter) over (order by from_counter), 0) + 1 as "from",
        from_counter - 1 as "to"
      from device_run r where r.device_id = d.id
      order by from_counter limit ${GAP_LIMIT + 1}
    ) gap
    where gap."from" <= gap."to"`,
  ['from'],
)

const counterTwice = rule(
  'counter_twice',
  'device',
  'device_id',
  (ids) => sql`
    select d.id as device_id, t.counter
    from unnest(${ids}) as d(id) cross join lateral (
      select counter from device_counter_twice t where t.device_id = d.id
      order by counter limit ${GAP_LIMIT}
    ) t`,
  ['counter'],
)

/** Withdrawals of an entry that is not here: it was lost, or is still on its way. */
const withdrawnUnknown = rule('withdrawn_unknown', 'entry', 'entry_id', (ids) => {
  return sql`
    select withdrawn_id as entry_id, count(*)::int as withdrawals from withdrawal w
    where withdrawn_id = any(${ids})
      and not exists (select 1 from entry e where e.id = w.withdrawn_id)
    group by withdrawn_id`
})

/** A withdrawal cannot be taken back: what it withdrew must be told again. */
const withdrawalOfWithdrawal = rule('withdrawal_of_withdrawal', 'entry', 'entry_id', (ids) => {
  return sql`
    select withdrawn_id as entry_id, count(*)::int as withdrawals from withdrawal w
    where withdrawn_id = any(${ids})
      and exists (select 1 from withdrawal o where o.entry_id = w.withdrawn_id)
    group by withdrawn_id`
})

export const deviceFindings: FindingRule[] = [
  counterMissing,
  counterTwice,
  withdrawnUnknown,
  withdrawalOfWithdrawal,
]

const oddTimes = (ids: unknown, what: 'ahead' | 'late') => sql`
  select device_id, recorded_on::text as recorded_on, entries, worst_minutes
  from device_time_off where device_id = any(${ids}) and what = ${what}`

const clockAhead = rule('clock_ahead', 'device', 'device_id', (ids) => oddTimes(ids, 'ahead'), [
  'recorded_on',
])

const lateEntry = rule('late_entry', 'device', 'device_id', (ids) => oddTimes(ids, 'late'), [
  'recorded_on',
])

/** Rules that look at when the server recorded an entry, and so at how it was delivered. */
export const clockFindings: FindingRule[] = [clockAhead, lateEntry]
