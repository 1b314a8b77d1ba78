// What the readings say of one lot over its stays, and how old the wood is by them.
import { ageingRate } from './climate-sums.ts'
import type { ClimateRules, ClimateSums } from './climate-sums.ts'
import type { Excursion } from './excursions.ts'
import { MS_PER_DAY } from './intervals.ts'

/**
 * The readings of every place that a lot lay in, summed over its stays; plain data, so that a
 * phone can carry it. All times in epoch milliseconds, temperatures in °C.
 */
export interface ThermalFacts {
  /** When the wood was cut, or of its earliest record. */
  readonly fromAt: number
  /** Up to when this was worked out; later time is counted by the calendar. */
  readonly toAt: number
  readonly rules: ClimateRules
  readonly sums: ClimateSums
  readonly lowestTempC: number | null
  readonly highestTempC: number | null
  readonly excursionCount: number
  readonly largest: (Excursion & { readonly placeId: string }) | null
  /** The room where the wood lies now: its last reading, and its mean of the last 24 hours. */
  readonly now: RoomNow | null
}

/** The state of a room, as far as a logger in it or around it says. */
export interface RoomNow {
  readonly placeId: string
  readonly readAt: number
  readonly tempC: number
  readonly humidityPercent: number | null
  readonly meanOfDayC: number
}

/**
 * How old wood is at `now`, in days at the set temperature: time with readings by what they add up
 * to, time without them by the calendar.
 */
export function thermalAgeDays(thermal: ThermalFacts, now: number): number {
  return thermal.sums.equivalentDays + unmeasuredDays(thermal, now)
}

/** Days from cutting to `now` for which no reading says how warm the wood was. */
export function unmeasuredDays(thermal: ThermalFacts, now: number): number {
  const calendarDays = Math.max(0, now - thermal.fromAt) / MS_PER_DAY
  return Math.max(0, calendarDays - thermal.sums.measuredHours / 24)
}

/** How many days a day where the wood lies now is worth; 1 (the calendar) when nobody knows. */
export function presentRate(thermal: ThermalFacts | null): number {
  const room = thermal?.now ?? null
  if (thermal === null || room === null) return 1
  return ageingRate(room.meanOfDayC, thermal.rules)
}
