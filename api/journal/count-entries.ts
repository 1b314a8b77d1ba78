// Counts new entries device by device: unbroken runs of counters, numbers given twice, odd times.
import { sql } from 'kysely'
import type { Transaction } from 'kysely'
import type { Tables } from '../../db/tables.ts'

type Trx = Transaction<Tables>

/** Every table that counting fills; `rebuild` empties them, and they are counted again. */
export const countTables = [
  'counted_until',
  'device_run',
  'device_counter_twice',
  'device_time_off',
] as const

/** An entry made so long after it was recorded shows a clock that runs ahead. */
export const CLOCK_AHEAD_MINUTES = 5
/** An entry recorded so long after it was made is late. */
export const LATE_DAYS = 7
/** Entries counted in one step. */
const STEP = 20_000

/**
 * Counts the entries appended since the last call. Indexes of the journal are gapless and in the
 * order of commits, so that none is ever skipped, and each call costs no more than the new entries
 * however many the device has. Call it under the lock of settling.
 */
export async function countNewEntries(trx: Trx): Promise<void> {
  const until = await trx.selectFrom('counted_until').select('next_index').executeTakeFirst()
  const { size } = await trx
    .selectFrom('entry')
    .select(({ fn }) => fn.max('journal_index').as('size'))
    .executeTakeFirstOrThrow()
  const end = size === null ? 0 : size + 1
  let next = until?.next_index ?? 0
  if (next >= end) return
  for (; next < end; next += STEP) {
    const stop = Math.min(end, next + STEP)
    await countRuns(trx, next, stop)
    await countOddTimes(trx, next, stop)
  }
  await sql`insert into counted_until (next_index) values (${end})
    on conflict (only_row) do update set next_index = excluded.next_index`.execute(trx)
}

type Counter = { device_id: string; counter: number }
type Run = { device_id: string; from_counter: number; to_counter: number }

async function countRuns(trx: Trx, from: number, stop: number): Promise<void> {
  const fresh = await trx
    .selectFrom('entry')
    .select(['device_id', 'device_counter as counter'])
    .where('journal_index', '>=', from)
    .where('journal_index', '<', stop)
    .orderBy('device_id')
    .orderBy('device_counter')
    .execute()
  const runs = await takeNeighbours(trx, fresh)
  const devices = new Set(fresh.map((row) => row.device_id))
  const twice: Counter[] = []
  const merged: Run[] = []
  for (const device_id of devices) {
    const own = fresh.filter((row) => row.device_id === device_id)
    const found = mergeRuns(
      device_id,
      runs.filter((run) => run.device_id === device_id),
      own.map((row) => row.counter),
    )
    merged.push(...found.runs)
    twice.push(...found.twice.map((counter) => ({ device_id, counter })))
  }
  await sql`insert into device_run select * from
    jsonb_populate_recordset(null::device_run, ${JSON.stringify(merged)}::jsonb)`.execute(trx)
  await sql`insert into device_counter_twice select distinct * from
    jsonb_populate_recordset(null::device_counter_twice, ${JSON.stringify(twice)}::jsonb)
    on conflict do nothing`.execute(trx)
}

/** Takes the runs out of the table that the new counters touch or lie between. */
async function takeNeighbours(trx: Trx, fresh: Counter[]): Promise<Run[]> {
  const spans = new Map<string, { low: number; high: number }>()
  for (const { device_id, counter } of fresh) {
    const { low } = spans.get(device_id) ?? { low: counter }
    spans.set(device_id, { low, high: counter })
  }
  const bounds = [...spans.values()]
  const rows = await sql<Run>`
    delete from device_run r
    using unnest(${[...spans.keys()]}::uuid[], ${bounds.map(({ low }) => low)}::bigint[],
      ${bounds.map(({ high }) => high)}::bigint[]) as s(device_id, low, high)
    where r.device_id = s.device_id and r.from_counter <= s.high + 1 and r.to_counter >= s.low - 1
    returning r.*`.execute(trx)
  return rows.rows
}

/** Adds counters, in rising order, to runs of one device; `twice` are those that were there. */
export function mergeRuns(
  device_id: string,
  runs: readonly Run[],
  counters: readonly number[],
): { runs: Run[]; twice: number[] } {
  const pieces = counters.map((counter) => ({ from: counter, to: counter, isNew: true }))
  for (const run of runs) {
    pieces.push({ from: run.from_counter, to: run.to_counter, isNew: false })
  }
  pieces.sort((one, other) => one.from - other.from || Number(one.isNew) - Number(other.isNew))
  const merged: Run[] = []
  const twice: number[] = []
  for (const { from, to, isNew } of pieces) {
    const last = merged.at(-1)
    if (last === undefined || from > last.to_counter + 1) {
      merged.push({ device_id, from_counter: from, to_counter: to })
      continue
    }
    if (isNew && from <= last.to_counter) twice.push(from)
    last.to_counter = Math.max(last.to_counter, to)
  }
  return { runs: merged, twice }
}

async function countOddTimes(trx: Trx, from: number, stop: number): Promise<void> {
  await sql`
    insert into device_time_off as o (device_id, recorded_on, what, entries, worst_minutes)
    select device_id, (recorded_at at time zone 'UTC')::date, what, count(*),
      max(ceil(abs(extract(epoch from occurred_at - recorded_at)) / 60))
    from entry cross join lateral (
      select 'ahead' as what
      where occurred_at - recorded_at > ${CLOCK_AHEAD_MINUTES} * interval '1 minute'
      union all
      select 'late' where recorded_at - occurred_at > ${LATE_DAYS} * interval '1 day'
    ) as odd
    where journal_index >= ${from} and journal_index < ${stop}
    group by 1, 2, 3
    on conflict (device_id, recorded_on, what) do update set
      entries = o.entries + excluded.entries,
      worst_minutes = greatest(o.worst_minutes, excluded.worst_minutes)`.execute(trx)
}
