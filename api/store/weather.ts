// Readings of the weather, and how strongly the air of the day dries.
import { sql } from 'kysely'
import { dryingAirOf } from '#trade/drying.ts'
import { vapourPressureDeficitKPa } from '#trade/psychrometrics.ts'
import type { DryingAir } from '#trade/wood-checks.ts'
import type { Database } from '../../db/connect.ts'

/** One reading, with the air's drying power in kPa. */
export type WeatherLine = {
  entryId: string
  placeName: string | null
  site: string | null
  readAt: Date
  tempC: number
  humidityPercent: number
  windMetresPerSecond: number | null
  vpdKPa: number
}

/** Most readings on one page. */
export const WEATHER_PAGE = 200

/** The latest readings, the newest first; of all places and sites. */
export async function readWeather(db: Database, limit = WEATHER_PAGE): Promise<WeatherLine[]> {
  const rows = await sql<Omit<WeatherLine, 'vpdKPa'>>`
    select w.entry_id as "entryId", p.name as "placeName", w.site, w.read_at as "readAt",
      w.temp_c as "tempC", w.humidity_percent as "humidityPercent",
      w.wind_metres_per_second as "windMetresPerSecond"
    from weather_reading w left join place_now p on p.place_id = w.place_id
    order by w.read_at desc, w.entry_id, w.line limit ${limit}`.execute(db)
  return rows.rows.map((row) => ({
    ...row,
    vpdKPa: vapourPressureDeficitKPa(row.tempC, row.humidityPercent),
  }))
}

/** The drying power of the day before `now` over all sites, or null when nothing was read. */
export async function readDryingAir(db: Database, now: Date): Promise<DryingAir | null> {
  const since = new Date(now.getTime() - 86_400_000)
  const rows = await sql<{ read_at: Date; temp_c: number; humidity_percent: number }>`
    select read_at, temp_c, humidity_percent from weather_reading
    where read_at > ${since} and read_at <= ${now}`.execute(db)
  const readings = rows.rows.map((row) => ({
    readAt: row.read_at.getTime(),
    tempC: row.temp_c,
    humidityPercent: row.humidity_percent,
  }))
  return dryingAirOf(readings, now.getTime())
}
