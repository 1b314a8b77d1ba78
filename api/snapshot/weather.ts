// What a phone is told of the weather: enough to say how strongly the air dries from now on.
import { sql } from 'kysely'
import { MS_PER_DAY } from '#trade/intervals.ts'
import { dryingReadings } from '#trade/drying.ts'
import type { SnapshotWeatherShape } from '#wire/api-snapshot.ts'
import type { Database } from '../../db/connect.ts'

/** Most readings of the last day that are looked through. */
const READING_LIMIT = 20_000

/** Everything but the digest: of the day before `now`, the readings that can still decide. */
export async function readWeatherPart(
  db: Database,
  now: Date,
): Promise<Omit<SnapshotWeatherShape, 'digest'>> {
  const since = new Date(now.getTime() - MS_PER_DAY)
  const rows = await sql<{ read_at: Date; temp_c: number; humidity_percent: number }>`
    select read_at, temp_c, humidity_percent from weather_reading
    where read_at > ${since} and read_at <= ${now}
    order by read_at desc, entry_id, line limit ${READING_LIMIT}`.execute(db)
  const readings = rows.rows.map((row) => ({
    readAt: row.read_at.getTime(),
    tempC: row.temp_c,
    humidityPercent: row.humidity_percent,
  }))
  return {
    readings: dryingReadings(readings).map(({ readAt, tempC, humidityPercent }) => {
      return [readAt, tempC, humidityPercent]
    }),
  }
}
