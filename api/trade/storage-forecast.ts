// When stored wood will need a check, and when it must not be used, if its room stays as it is.
import { MS_PER_DAY, MS_PER_HOUR } from './intervals.ts'
import type { KnownLotFacts } from './lot-facts.ts'
import type { Policies } from './policies.ts'
import { presentRate, thermalAgeDays } from './thermal-facts.ts'
import type { ThermalFacts } from './thermal-facts.ts'

/** What brings a limit about. */
export type ForecastCause = 'calendar' | 'age' | 'swelling' | 'waking'

/** A limit and when it is reached (epoch milliseconds); in the past when it is reached already. */
export interface ForecastLimit {
  readonly at: number
  readonly cause: ForecastCause
}

/** What will become of a lot where it lies. */
export interface StorageForecast {
  readonly caution: ForecastLimit | null
  readonly stop: ForecastLimit | null
  /** How many days a day where it lies counts for. */
  readonly daysPerDay: number
  /** The mean of the last day of readings there, °C; null: by the calendar alone. */
  readonly assumedTempC: number | null
}

/**
 * The first moment at which judgement by storage turns to caution and to stop, on the assumption
 * that the room stays at the mean of its last 24 hours of readings; without readings the calendar
 * runs. Wood only: null for vines, and where no cutting or earlier record gives a beginning.
 */
export function forecastStorage(
  lot: KnownLotFacts,
  policies: Policies,
  now: number,
): StorageForecast | null {
  if (lot.material !== 'scion wood' && lot.material !== 'rootstock wood') return null
  const began =
    lot.cutAt ?? lot.stays.reduce((one, { beganAt }) => Math.min(one, beganAt), Infinity)
  if (!Number.isFinite(began)) return null
  const thermal = lot.thermal ?? null
  const daysPerDay = presentRate(thermal)
  const byAge = (limitDays: number): ForecastLimit[] => {
    const calendar = { at: began + limitDays * MS_PER_DAY, cause: 'calendar' as const }
    if (thermal === null) return [calendar]
    const left = limitDays - thermalAgeDays(thermal, now)
    return [calendar, { at: now + (left / daysPerDay) * MS_PER_DAY, cause: 'age' }]
  }
  const warm = thermal === null ? [] : byWarmth(thermal, policies, now)
  return {
    caution: earliest([...byAge(policies.storageCautionDays.value), ...warm]),
    stop: earliest(byAge(policies.storageStopDays.value)),
    daysPerDay,
    assumedTempC: thermal?.now?.meanOfDayC ?? null,
  }
}

function byWarmth(thermal: ThermalFacts, policies: Policies, now: number): ForecastLimit[] {
  const { sums, rules } = thermal
  const tempC = thermal.now?.meanOfDayC ?? Number.NEGATIVE_INFINITY
  const limits: ForecastLimit[] = []
  const degreesLeft = policies.swellCautionDegreeDays.value - sums.swellDegreeDays
  const perDay = tempC - rules.swellBaseC
  if (degreesLeft < 0) limits.push({ at: now, cause: 'swelling' })
  else if (perDay > 0) {
    limits.push({ at: now + (degreesLeft / perDay) * MS_PER_DAY, cause: 'swelling' })
  }
  const hoursLeft = policies.wakingMaxHours.value - sums.aboveWakingHours
  if (hoursLeft < 0) limits.push({ at: now, cause: 'waking' })
  else if (tempC > rules.wakingLimitC) {
    limits.push({ at: now + hoursLeft * MS_PER_HOUR, cause: 'waking' })
  }
  return limits
}

function earliest(limits: readonly ForecastLimit[]): ForecastLimit | null {
  return limits.reduce<ForecastLimit | null>(
    (first, limit) => (first === null || limit.at < first.at ? limit : first),
    null,
  )
}

/** What to use first: by stop, then by caution; lots without a forecast come last. */
export function useFirst(one: StorageForecast | null, other: StorageForecast | null): number {
  const at = (limit: ForecastLimit | null | undefined) => limit?.at ?? Number.MAX_VALUE
  return at(one?.stop) - at(other?.stop) || at(one?.caution) - at(other?.caution)
}
