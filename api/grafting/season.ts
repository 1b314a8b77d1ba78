// Tells the season of an instant: the calendar year of the nursery's own days.
import { localDay } from '#trade/zone-time.ts'

/** The season, as a year of four digits, that an instant belongs to. */
export type SeasonOf = (at: Date) => number

/**
 * Seasons by the calendar of an IANA time zone. Only near the turn of the year can the zone matter
 * (offsets stay below 15 hours), so only there is it looked up.
 */
export function seasonsIn(zone: string): SeasonOf {
  return function seasonOf(at) {
    const month = at.getUTCMonth()
    const day = at.getUTCDate()
    const nearTurn = (month === 0 && day === 1) || (month === 11 && day === 31)
    return nearTurn ? Number(localDay(at.getTime(), zone).slice(0, 4)) : at.getUTCFullYear()
  }
}
