// The season that a snapshot tells of: the calendar year of the nursery’s own days.
import { instantOfLocal, isTimeZone, localDay } from '#trade/zone-time.ts'
import type { Database } from '../../db/connect.ts'
import { nurseryTimeZone } from '../nursery/read.ts'

/** A season with its beginning and that of the one before, in epoch milliseconds. */
export type Season = { year: number; zone: string; fromMs: number; beforeMs: number }

/** The season that `now` belongs to. */
export async function readSeason(db: Database, now: Date): Promise<Season> {
  const named = await nurseryTimeZone(db)
  const zone = isTimeZone(named) ? named : 'UTC'
  const year = Number(localDay(now.getTime(), zone).slice(0, 4))
  return { year, zone, fromMs: beginningOf(year, zone), beforeMs: beginningOf(year - 1, zone) }
}

/** Midnight of New Year, or one o’clock where the clocks jumped over it. */
function beginningOf(year: number, zone: string): number {
  for (const time of ['00:00', '01:00', '02:00']) {
    const local = instantOfLocal(`${year}-01-01T${time}`, zone)
    if (local.ok) return local.epochMs
  }
  return Date.UTC(year, 0, 1)
}
