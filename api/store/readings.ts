// Reads what loggers read, entry by entry, and puts it in one order of time.
import { sql } from 'kysely'
import type { Reading } from '#trade/climate-sums.ts'
import type { Database } from '../../db/connect.ts'

/** One entry's readings as the table keeps them. */
export type LogRow = {
  logger_id: string
  entry_id: string
  first_at: Date
  seconds: number[]
  centi_c: number[]
  humidity_tenths: (number | null)[] | null
}

/**
 * The readings of these entries in order of time, from `from` to `to` (epoch milliseconds, both
 * included), one for each moment. Where two entries tell of the same moment the warmer reading
 * counts, whatever the order of the entries, so that wood never looks younger than one of them
 * says; what differs is flagged where readings are shown.
 */
export function mergeLogs(rows: readonly LogRow[], from: number, to: number): Reading[] {
  const readings: Reading[] = []
  for (const row of rows) {
    const start = row.first_at.getTime()
    for (const [nr, second] of row.seconds.entries()) {
      const at = start + second * 1000
      if (at < from || at > to) continue
      const tenths = row.humidity_tenths?.[nr] ?? null
      readings.push({
        at,
        tempC: (row.centi_c[nr] ?? 0) / 100,
        humidityPercent: tenths === null ? null : tenths / 10,
      })
    }
  }
  return onePerMoment(readings.sort(inOrder))
}

/** By time; of one moment the warmest first, then the driest. */
function inOrder(one: Reading, other: Reading): number {
  const humidity = (reading: Reading) => reading.humidityPercent ?? 101
  return one.at - other.at || other.tempC - one.tempC || humidity(one) - humidity(other)
}

function onePerMoment(readings: readonly Reading[]): Reading[] {
  return readings.filter((reading, nr) => reading.at !== readings[nr - 1]?.at)
}

/** The readings of one logger from `from` to `to` (epoch milliseconds, both included). */
export async function readReadings(
  db: Database,
  loggerId: string,
  from: number,
  to: number,
): Promise<Reading[]> {
  const rows = await sql<LogRow>`
    select logger_id, entry_id, first_at, seconds, centi_c, humidity_tenths from temperature_log
    where logger_id = ${loggerId} and last_at >= ${new Date(from)}
      and first_at <= ${new Date(to)}`.execute(db)
  return mergeLogs(rows.rows, from, to)
}

/** The last reading of each of these loggers up to `at`, by logger. */
export async function readLastReadings(
  db: Database,
  loggerIds: readonly string[],
  at: Date,
): Promise<Map<string, Reading>> {
  if (loggerIds.length === 0) return new Map()
  const rows = await sql<LogRow>`
    select t.* from unnest(${loggerIds}::uuid[]) as wanted(id)
    cross join lateral (
      select logger_id, entry_id, first_at, seconds, centi_c, humidity_tenths
      from temperature_log where logger_id = wanted.id and first_at <= ${at}
      order by first_at desc, entry_id desc limit 3
    ) t`.execute(db)
  const byLogger = new Map<string, LogRow[]>()
  for (const row of rows.rows) {
    byLogger.set(row.logger_id, [...(byLogger.get(row.logger_id) ?? []), row])
  }
  const last = new Map<string, Reading>()
  for (const [loggerId, own] of byLogger) {
    const reading = mergeLogs(own, Number.NEGATIVE_INFINITY, at.getTime()).at(-1)
    if (reading !== undefined) last.set(loggerId, reading)
  }
  return last
}
