// How long wood may stay out of water, scaled by how strongly the air of the day dries.
import { MS_PER_DAY } from './intervals.ts'
import type { Policies } from './policies.ts'
import { vapourPressureDeficitKPa } from './psychrometrics.ts'
import type { DryingAir } from './wood-checks.ts'

/** One reading of the weather; `readAt` in epoch milliseconds. */
export interface WeatherReading {
  readonly readAt: number
  readonly tempC: number
  readonly humidityPercent: number
}

/** The hours allowed out of water, and the drying power they were scaled by (null: unscaled). */
export interface OutOfWaterLimits {
  readonly cautionHours: number
  readonly maxHours: number
  readonly vpdKPa: number | null
}

/**
 * The drying power of the day before `now`: the greatest vapour pressure deficit among the
 * readings of that day, for wood is out when it is greatest. Null when nothing was read.
 */
export function dryingAirOf(readings: readonly WeatherReading[], now: number): DryingAir | null {
  let worst: DryingAir | null = null
  for (const { readAt, tempC, humidityPercent } of readings) {
    if (readAt > now || readAt <= now - MS_PER_DAY) continue
    const vpdKPa = vapourPressureDeficitKPa(tempC, humidityPercent)
    if (worst === null || vpdKPa > worst.vpdKPa) worst = { readAt, vpdKPa }
  }
  return worst
}

/**
 * Of readings those that can still be the greatest of a day that ends later: none followed by one
 * that dries as strongly or more. In order of time; `dryingAirOf` says the same of them as of all,
 * at any moment from the last of them on.
 */
export function dryingReadings(readings: readonly WeatherReading[]): WeatherReading[] {
  const latestFirst = [...readings].sort((one, other) => other.readAt - one.readAt)
  const kept: WeatherReading[] = []
  let most = Number.NEGATIVE_INFINITY
  for (const reading of latestFirst) {
    const vpdKPa = vapourPressureDeficitKPa(reading.tempC, reading.humidityPercent)
    if (vpdKPa <= most) continue
    most = vpdKPa
    kept.push(reading)
  }
  return kept.reverse()
}

/**
 * The policies' hours, shortened in proportion where the air dries more strongly than the
 * reference; common practice, no source. Air read more than a day before `now` does not count.
 */
export function outOfWaterLimits(
  policies: Policies,
  air: DryingAir | null | undefined,
  now: number,
): OutOfWaterLimits {
  const cautionHours = policies.outOfWaterCautionHours.value
  const maxHours = policies.outOfWaterMaxHours.value
  const counts = air !== null && air !== undefined && now - air.readAt <= MS_PER_DAY
  if (!counts) return { cautionHours, maxHours, vpdKPa: null }
  const share = Math.min(1, policies.referenceVpdKPa.value / Math.max(air.vpdKPa, 1e-9))
  return {
    cautionHours: tenth(cautionHours * share),
    maxHours: tenth(maxHours * share),
    vpdKPa: Math.round(air.vpdKPa * 100) / 100,
  }
}

/** Down to a tenth of an hour, so that what is shown is what decides. */
function tenth(hours: number): number {
  return Math.floor(hours * 10 + 1e-9) / 10
}
