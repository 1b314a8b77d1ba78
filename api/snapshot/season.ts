// The season that a snapshot tells of: the calendar year of the nursery’s own days.
import { isTimeZone, localDay, startOfDay } from '#trade/zone-time.ts'
import type { Database } from '../../db/connect.ts'
import { nurseryTimeZone } from '../nursery/read.ts'

/** A season with its beginning and that of the one before, in epoch milliseconds. */
export type Season = { year: number; zone: string; fromMs: number; beforeMs: number }

/** The season that `now` belongs to. */
export async function readSeason(db: Database, now: Date): Promise<Season> {
  const named = await nurseryTimeZone(db)
  const zone = isTimeZone(named) ? named : 'UTC'
  const year = Number(localDay(now.getTime(), zone).slice(0, 4))
  const from = (of: number) => startOfDay(`${of}-01-01`, zone)
  return { year, zone, fromMs: from(year), beforeMs: from(year - 1) }
}
