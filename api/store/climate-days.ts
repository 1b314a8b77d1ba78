// Keeps what a day's readings add up to, under the entries and rules that it was worked out from.
import { sql } from 'kysely'
import type { ClimateFigures } from '#trade/climate-figures.ts'
import { SUM_NAMES, sumsFrom } from '#trade/climate-sums.ts'
import type { Excursion } from '#trade/excursions.ts'
import { MS_PER_DAY } from '#trade/intervals.ts'
import type { Database } from '../../db/connect.ts'

/** One day of one logger (UTC, counted from 1970) and the entries that its sums come from. */
export type LoggerDay = {
  key: string
  loggerId: string
  day: number
  entryIds: string[]
  contentKey: string
}

/** A day and what it adds up to. */
export type DayFigures = LoggerDay & { figures: ClimateFigures }

type KeptRow = {
  logger_id: string
  day: number
  content_key: string
  sums: number[]
  lowest_c: number | null
  highest_c: number | null
  excursions: Excursion[]
}

/** Those of the days that were kept and still rest on the same entries, by key. */
export async function readKeptDays(
  db: Database,
  rulesKey: string,
  days: readonly LoggerDay[],
): Promise<Map<string, ClimateFigures>> {
  if (days.length === 0) return new Map()
  const wanted = new Map(days.map((day) => [day.key, day]))
  const ids = [...new Set(days.map(({ loggerId }) => loggerId))]
  const numbers = days.map(({ day }) => day)
  const first = dateOf(numbers.reduce((one, other) => Math.min(one, other)))
  const last = dateOf(numbers.reduce((one, other) => Math.max(one, other)))
  const rows = await sql<KeptRow>`
    select logger_id, day - '1970-01-01'::date as day, content_key, sums, lowest_c, highest_c,
      excursions
    from climate_day
    where logger_id = any(${ids}::uuid[]) and rules_key = ${rulesKey}
      and day between ${first} and ${last}`.execute(db)
  const kept = new Map<string, ClimateFigures>()
  for (const row of rows.rows) {
    const key = `${row.logger_id} ${row.day}`
    if (wanted.get(key)?.contentKey !== row.content_key) continue
    kept.set(key, {
      sums: sumsFrom(row.sums),
      lowestTempC: row.lowest_c,
      highestTempC: row.highest_c,
      excursions: row.excursions,
    })
  }
  return kept
}

/**
 * Keeps days for the next time. Inside a transaction nothing is kept, nor on a connection that may
 * only read: the figures are right without.
 */
export async function keepDays(
  db: Database,
  rulesKey: string,
  days: readonly DayFigures[],
): Promise<void> {
  if (days.length === 0 || db.isTransaction) return
  const rows = days.map(({ loggerId, day, contentKey, figures }) => ({
    logger_id: loggerId,
    day: dateOf(day),
    rules_key: rulesKey,
    content_key: contentKey,
    sums: SUM_NAMES.map((name) => figures.sums[name]),
    lowest_c: figures.lowestTempC,
    highest_c: figures.highestTempC,
    excursions: figures.excursions,
  }))
  try {
    await sql`
      insert into climate_day
      select * from jsonb_populate_recordset(null::climate_day, ${JSON.stringify(rows)}::jsonb)
      order by logger_id, day, rules_key
      on conflict (logger_id, day, rules_key) do update set content_key = excluded.content_key,
        sums = excluded.sums, lowest_c = excluded.lowest_c, highest_c = excluded.highest_c,
        excursions = excluded.excursions`.execute(db)
  } catch (error) {
    if (!mayNotWrite(error)) throw error
  }
}

/** insufficient_privilege, read_only_sql_transaction */
const readOnlyCodes = new Set(['42501', '25006'])

function mayNotWrite(error: unknown): boolean {
  return error instanceof Error && 'code' in error && readOnlyCodes.has(String(error.code))
}

const dateOf = (day: number) => new Date(day * MS_PER_DAY).toISOString().slice(0, 10)
