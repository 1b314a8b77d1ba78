// What a room's readings add up to: ten sums over time, each the integral of one function.
import { kineticWeight, temperatureOfKineticWeight } from './mean-kinetic-temperature.ts'
import { vapourPressureDeficitKPa } from './psychrometrics.ts'

/** The numbers that decide what is summed; they come from policies. Temperatures in °C. */
export interface ClimateRules {
  /** Wood at this temperature ages one day a day. */
  readonly setTempC: number
  /** How many times as fast it ages 10 °C warmer. */
  readonly q10: number
  readonly wakingLimitC: number
  readonly frostLimitC: number
  readonly freezeLimitC: number
  readonly swellBaseC: number
  /** Readings further apart have a gap between them: time without readings. */
  readonly maxGapMinutes: number
}

/** One reading of a logger; `at` in epoch milliseconds, humidity in % or null for none. */
export interface Reading {
  readonly at: number
  readonly tempC: number
  readonly humidityPercent: number | null
}

/** What a span of time adds up to. Hours and days count only time between readings. */
export interface ClimateSums {
  /** Hours between readings no further apart than the rules allow. */
  readonly measuredHours: number
  /** Integral of the temperature, °C · h. */
  readonly tempHours: number
  /** Integral of exp(-ΔH/RT), h; the mean kinetic temperature comes from it. */
  readonly kineticHours: number
  /** Days of storage at the set temperature that age wood as much: integral of Q10^((T-set)/10). */
  readonly equivalentDays: number
  readonly aboveWakingHours: number
  readonly belowFrostHours: number
  readonly belowFreezeHours: number
  /** Degree-days above the swelling base, °C · d. */
  readonly swellDegreeDays: number
  /** Hours from 0 to 10 °C, both included (Dokoozlian, HortScience 34(6), 1999). */
  readonly chillingHours: number
  /** Hours in which humidity was read as well. */
  readonly humidHours: number
  /** Integral of the vapour pressure deficit over those, kPa · h. */
  readonly deficitHours: number
}

export type SumName = keyof ClimateSums
export const SUM_NAMES: readonly SumName[] = [
  'measuredHours',
  'tempHours',
  'kineticHours',
  'equivalentDays',
  'aboveWakingHours',
  'belowFrostHours',
  'belowFreezeHours',
  'swellDegreeDays',
  'chillingHours',
  'humidHours',
  'deficitHours',
]

/** Chilling counts between these, both included (Dokoozlian 1999: 0-10 °C all alike). */
export const CHILLING_FROM_C = 0
export const CHILLING_TO_C = 10

/** What one hour at this reading adds to each sum, in the order of SUM_NAMES. */
export function ratesAt(reading: Reading, rules: ClimateRules): number[] {
  const { tempC, humidityPercent } = reading
  const chills = tempC >= CHILLING_FROM_C && tempC <= CHILLING_TO_C
  return [
    1,
    tempC,
    kineticWeight(tempC),
    ageingRate(tempC, rules) / 24,
    tempC > rules.wakingLimitC ? 1 : 0,
    tempC < rules.frostLimitC ? 1 : 0,
    tempC < rules.freezeLimitC ? 1 : 0,
    Math.max(0, tempC - rules.swellBaseC) / 24,
    chills ? 1 : 0,
    humidityPercent === null ? 0 : 1,
    humidityPercent === null ? 0 : vapourPressureDeficitKPa(tempC, humidityPercent),
  ]
}

/**
 * How many days at the set temperature one day at `tempC` is worth: Q10^((T - set) / 10). A Q10
 * measured from 10 to 20 °C is used over the whole range; that is an assumption, and the policy
 * says so.
 */
export function ageingRate(tempC: number, rules: Pick<ClimateRules, 'q10' | 'setTempC'>): number {
  return rules.q10 ** ((tempC - rules.setTempC) / 10)
}

/** Sums from their numbers, in the order of SUM_NAMES. */
export function sumsFrom(values: ArrayLike<number>): ClimateSums {
  const pairs = SUM_NAMES.map((name, nr) => [name, values[nr] ?? 0] as const)
  return Object.fromEntries(pairs) as unknown as ClimateSums
}

/** No time at all. */
export const NO_SUMS: ClimateSums = sumsFrom([])

/** The sums of both spans together. */
export function addSums(one: ClimateSums, other: ClimateSums): ClimateSums {
  return sumsFrom(SUM_NAMES.map((name) => one[name] + other[name]))
}

/** Mean kinetic temperature of what was measured, in °C; null when nothing was. */
export function meanKineticOf(sums: ClimateSums): number | null {
  if (sums.measuredHours <= 0) return null
  return temperatureOfKineticWeight(sums.kineticHours / sums.measuredHours)
}

/** Plain mean temperature of what was measured, in °C; null when nothing was. */
export function meanOf(sums: ClimateSums): number | null {
  return sums.measuredHours <= 0 ? null : sums.tempHours / sums.measuredHours
}
