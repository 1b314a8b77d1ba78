// Two look-ups in the running sums against adding the readings up one by one.
import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { addSums, meanKineticOf, meanOf, SUM_NAMES, sumsFrom } from '#trade/climate-sums.ts'
import type { ClimateRules, ClimateSums, Reading } from '#trade/climate-sums.ts'
import { excursionsOf, joinExcursions, largestExcursion } from '#trade/excursions.ts'
import { MS_PER_HOUR, MS_PER_MINUTE } from '#trade/intervals.ts'
import { kineticWeight } from '#trade/mean-kinetic-temperature.ts'
import { vapourPressureDeficitKPa } from '#trade/psychrometrics.ts'
import { ReadingPrefix } from '#trade/reading-prefix.ts'

const rules: ClimateRules = {
  setTempC: 1,
  q10: 2.8,
  wakingLimitC: 8,
  frostLimitC: -5,
  freezeLimitC: -10.6,
  swellBaseC: 5,
  maxGapMinutes: 60,
}

/** Readings a given number of minutes apart. */
function every(minutes: number, temps: number[], humidity: number | null = null): Reading[] {
  return temps.map((tempC, nr) => {
    return { at: nr * minutes * MS_PER_MINUTE, tempC, humidityPercent: humidity }
  })
}

const minute = (count: number) => count * MS_PER_MINUTE

describe('the running sums', () => {
  it('of wood at the set temperature count a day for a day', () => {
    const readings = every(30, Array<number>(49).fill(1), 90)
    const day = new ReadingPrefix(readings, rules).between(0, 24 * MS_PER_HOUR)
    expect(day.measuredHours).toBeCloseTo(24, 9)
    expect(day.equivalentDays).toBeCloseTo(1, 9)
    expect(day.chillingHours).toBeCloseTo(24, 9)
    expect(day.deficitHours / 24).toBeCloseTo(0.0657, 4)
    expect([meanOf(day), meanKineticOf(day)].map((temp) => temp?.toFixed(6))).toEqual([
      '1.000000',
      '1.000000',
    ])
  })

  it('at 11 °C count 2.8 days a day, six degree-days, and no chilling', () => {
    const readings = every(60, Array<number>(25).fill(11))
    const day = new ReadingPrefix(readings, rules).between(0, 24 * MS_PER_HOUR)
    expect(day.equivalentDays).toBeCloseTo(2.8, 9)
    expect(day.swellDegreeDays).toBeCloseTo(6, 9)
    expect(day.aboveWakingHours).toBeCloseTo(24, 9)
    expect([day.chillingHours, day.humidHours, day.belowFrostHours]).toEqual([0, 0, 0])
  })

  it('never bridge a gap, nor reach beyond the first and the last reading', () => {
    const readings = [...every(30, [2, 2, 2]), { at: minute(300), tempC: 2, humidityPercent: null }]
    const prefix = new ReadingPrefix(readings, rules)
    const all = prefix.between(minute(-600), minute(900))
    expect(all.measuredHours).toBeCloseTo(1, 9)
    expect(prefix.between(minute(90), minute(290)).measuredHours).toBe(0)
    expect(new ReadingPrefix([], rules).between(0, minute(60)).measuredHours).toBe(0)
  })

  it('refuse readings that do not rise in time', () => {
    const twice = [...every(30, [2, 2]), ...every(30, [2])]
    expect(() => new ReadingPrefix(twice, rules)).toThrow(RangeError)
  })

  const anyReadings = fc
    .array(
      fc.record({
        step: fc.integer({ min: 1, max: 90 }),
        tempC: fc.integer({ min: -1500, max: 3000 }).map((centi) => centi / 100),
        humidity: fc.option(fc.integer({ min: 0, max: 100 })),
      }),
      { minLength: 1, maxLength: 60 },
    )
    .map((steps) => {
      let at = 0
      return steps.map(({ step, tempC, humidity }): Reading => {
        at += step * MS_PER_MINUTE
        return { at, tempC, humidityPercent: humidity }
      })
    })
  const anyMinute = fc.integer({ min: -60, max: 5400 }).map(minute)

  it('give for any span what adding up the readings one by one gives', () => {
    fc.assert(
      fc.property(anyReadings, anyMinute, anyMinute, (readings, one, other) => {
        const [from, to] = [Math.min(one, other), Math.max(one, other)]
        const sums = new ReadingPrefix(readings, rules).between(from, to)
        const raw = addedUp(readings, from, to)
        for (const name of SUM_NAMES) {
          expect(Math.abs(sums[name] - raw[name])).toBeLessThan(1e-7 * (1 + Math.abs(raw[name])))
        }
      }),
      { numRuns: 400 },
    )
  })

  it('of two spans that meet are the sums of the whole', () => {
    fc.assert(
      fc.property(anyReadings, fc.tuple(anyMinute, anyMinute, anyMinute), (readings, times) => {
        const [from = 0, middle = 0, to = 0] = [...times].sort((a, b) => a - b)
        const prefix = new ReadingPrefix(readings, rules)
        const parts = addSums(prefix.between(from, middle), prefix.between(middle, to))
        const whole = prefix.between(from, to)
        for (const name of SUM_NAMES) expect(parts[name]).toBeCloseTo(whole[name], 6)
      }),
    )
  })
})

/** The plain way: each interval cut to the span, both its ends worked out by straight lines. */
function addedUp(readings: readonly Reading[], from: number, to: number): ClimateSums {
  const total: Record<string, number> = Object.fromEntries(SUM_NAMES.map((name) => [name, 0]))
  for (const [nr, left] of readings.entries()) {
    const right = readings[nr + 1]
    if (right === undefined || right.at - left.at > minute(rules.maxGapMinutes)) continue
    const began = Math.max(left.at, from)
    const ended = Math.min(right.at, to)
    if (ended <= began) continue
    const humid = left.humidityPercent !== null && right.humidityPercent !== null
    for (const [name, rate] of Object.entries(plainRates)) {
      if (!humid && (name === 'humidHours' || name === 'deficitHours')) continue
      const at = (time: number) => {
        const share = (time - left.at) / (right.at - left.at)
        return rate(left) * (1 - share) + rate(right) * share
      }
      const hours = (ended - began) / MS_PER_HOUR
      total[name] = (total[name] ?? 0) + (hours * (at(began) + at(ended))) / 2
    }
  }
  return sumsFrom(SUM_NAMES.map((name) => total[name] ?? 0))
}

const plainRates: Record<string, (reading: Reading) => number> = {
  measuredHours: () => 1,
  tempHours: ({ tempC }) => tempC,
  kineticHours: ({ tempC }) => kineticWeight(tempC),
  equivalentDays: ({ tempC }) => Math.exp((Math.log(2.8) * (tempC - 1)) / 10) / 24,
  aboveWakingHours: ({ tempC }) => (tempC > 8 ? 1 : 0),
  belowFrostHours: ({ tempC }) => (tempC < -5 ? 1 : 0),
  belowFreezeHours: ({ tempC }) => (tempC < -10.6 ? 1 : 0),
  swellDegreeDays: ({ tempC }) => (tempC > 5 ? (tempC - 5) / 24 : 0),
  chillingHours: ({ tempC }) => (tempC >= 0 && tempC <= 10 ? 1 : 0),
  humidHours: () => 1,
  deficitHours: ({ tempC, humidityPercent }) =>
    vapourPressureDeficitKPa(tempC, humidityPercent ?? 100),
}

describe('an excursion', () => {
  it('begins and ends where the line between two readings crosses the limit', () => {
    const readings = every(30, [4, 12, 14, 4, 4])
    const [only, ...more] = excursionsOf(readings, rules, 0, minute(120))
    expect(more).toEqual([])
    expect(only).toEqual({
      ...{ kind: 'warm', beganAt: minute(15), endedAt: minute(78), peakTempC: 14 },
    })
  })

  it('ends where the readings end, and a colder one is told apart', () => {
    const readings = [...every(30, [9, 9]), { at: minute(400), tempC: -7, humidityPercent: null }]
    expect(excursionsOf(readings, rules, 0, minute(500))).toEqual([
      { kind: 'warm', beganAt: 0, endedAt: minute(30), peakTempC: 9 },
      { kind: 'cold', beganAt: minute(400), endedAt: minute(400), peakTempC: -7 },
    ])
  })

  it('cut at midnight and joined again is the same as never cut', () => {
    const temps = fc.array(fc.integer({ min: -12, max: 20 }), { minLength: 2, maxLength: 60 })
    fc.assert(
      fc.property(temps, fc.integer({ min: 1, max: 1700 }), (values, cut) => {
        const readings = every(30, values)
        const end = minute(30 * (values.length - 1))
        const at = Math.min(minute(cut), end)
        const whole = joinExcursions(excursionsOf(readings, rules, 0, end))
        const parts = [
          ...excursionsOf(readings, rules, 0, at),
          ...excursionsOf(readings, rules, at, end),
        ]
        const spans = (list: typeof whole) =>
          list.map(({ kind, beganAt, endedAt }) => {
            return [kind, beganAt, endedAt]
          })
        expect(spans(joinExcursions(parts))).toEqual(spans(whole))
      }),
    )
  })

  it('that lasts longest is the largest; of two alike the earlier', () => {
    const readings = every(30, [4, 12, 4, 4, 12, 4, 4, 12, 12, 4])
    const found = largestExcursion(excursionsOf(readings, rules, 0, minute(400)))
    expect(found?.beganAt).toBe(minute(195))
    expect(largestExcursion([])).toBeNull()
  })
})
