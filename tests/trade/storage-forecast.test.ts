// The forecast against the judgement itself: the verdict turns when it was said to turn.
import { describe, expect, it } from 'vitest'
import { climateRulesOf } from '#trade/climate-policies.ts'
import { ageingRate, NO_SUMS } from '#trade/climate-sums.ts'
import type { ClimateSums } from '#trade/climate-sums.ts'
import { MS_PER_DAY, MS_PER_HOUR } from '#trade/intervals.ts'
import { judgeThermal } from '#trade/judge-thermal.ts'
import { policiesWith } from '#trade/policies.ts'
import { forecastStorage, useFirst } from '#trade/storage-forecast.ts'
import type { ThermalFacts } from '#trade/thermal-facts.ts'
import { NOW, soundLot } from './lot-facts-arbitrary.ts'

const policies = policiesWith({})
const rules = climateRulesOf(policies)

/** Sixty days at 1 °C, now in a room at `tempC`. */
function thermalAt(tempC: number, sums: Partial<ClimateSums> = {}): ThermalFacts {
  return {
    fromAt: NOW - 60 * MS_PER_DAY,
    toAt: NOW,
    rules,
    sums: { ...NO_SUMS, measuredHours: 60 * 24, equivalentDays: 60, ...sums },
    lowestTempC: 1,
    highestTempC: tempC,
    excursionCount: 0,
    largest: null,
    now: { placeId: 'p', readAt: NOW, tempC, humidityPercent: null, meanOfDayC: tempC },
  }
}

/** What the readings would say after so many more days at `tempC`. */
function later(thermal: ThermalFacts, tempC: number, days: number): ThermalFacts {
  const { sums } = thermal
  return {
    ...thermal,
    toAt: NOW + days * MS_PER_DAY,
    sums: {
      ...sums,
      measuredHours: sums.measuredHours + days * 24,
      equivalentDays: sums.equivalentDays + days * ageingRate(tempC, rules),
      swellDegreeDays: sums.swellDegreeDays + days * Math.max(0, tempC - rules.swellBaseC),
      aboveWakingHours: sums.aboveWakingHours + (tempC > rules.wakingLimitC ? days * 24 : 0),
    },
    now: thermal.now === null ? null : { ...thermal.now, readAt: NOW + days * MS_PER_DAY },
  }
}

describe('the forecast', () => {
  it.each([4, 6, 7.5, 12])('at %d °C says when the verdict turns to caution', (tempC) => {
    const thermal = thermalAt(tempC)
    const forecast = forecastStorage(soundLot({ thermal }), policies, NOW)
    const at = forecast?.caution?.at ?? Number.NaN
    const codesAfter = (days: number) => {
      const lot = soundLot({ thermal: later(thermal, tempC, days) })
      return judgeThermal(lot, policies, NOW + days * MS_PER_DAY).map(({ code }) => code)
    }
    const days = (at - NOW) / MS_PER_DAY
    expect(codesAfter(days - 0.3)).toEqual([])
    expect(codesAfter(days + 0.3)).not.toEqual([])
  })

  it('at 4 °C ages 1.36 days a day, so 182 days are reached before the calendar does', () => {
    const forecast = forecastStorage(soundLot({ thermal: thermalAt(4) }), policies, NOW)
    expect(forecast?.daysPerDay).toBeCloseTo(2.8 ** 0.3, 9)
    const days = ((forecast?.caution?.at ?? 0) - NOW) / MS_PER_DAY
    expect(days).toBeCloseTo(122 / 2.8 ** 0.3, 6)
    expect(forecast?.caution?.cause).toBe('age')
  })

  it('colder than the set temperature is bound by the calendar', () => {
    const forecast = forecastStorage(soundLot({ thermal: thermalAt(0) }), policies, NOW)
    expect(forecast?.caution).toEqual({ at: NOW + 122 * MS_PER_DAY, cause: 'calendar' })
  })

  it('in a warm room gives hours, not months', () => {
    const forecast = forecastStorage(soundLot({ thermal: thermalAt(12) }), policies, NOW)
    expect(forecast?.caution).toEqual({ at: NOW + 24 * MS_PER_HOUR, cause: 'waking' })
  })

  it('without readings is the calendar, and says that no temperature was assumed', () => {
    const forecast = forecastStorage(soundLot({ thermal: null }), policies, NOW)
    expect([forecast?.assumedTempC, forecast?.daysPerDay]).toEqual([null, 1])
    expect(forecast?.stop).toEqual({ at: NOW + (243 - 60) * MS_PER_DAY, cause: 'calendar' })
    expect(forecastStorage(soundLot({ material: 'grafted vine' }), policies, NOW)).toBeNull()
  })

  it('puts first what must be used first', () => {
    const at = (tempC: number) =>
      forecastStorage(soundLot({ thermal: thermalAt(tempC) }), policies, NOW)
    const lots = [at(2), null, at(12), at(4)]
    expect(lots.toSorted(useFirst)).toEqual([at(12), at(4), at(2), null])
  })
})
