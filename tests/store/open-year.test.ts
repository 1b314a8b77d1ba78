// A year of open hourly temperatures through import and ageing, beside sums made another way.
import { readFileSync } from 'node:fs'
import { describe, expect, it } from 'vitest'
import { climateRulesOf } from '#trade/climate-policies.ts'
import { figuresOf } from '#trade/climate-figures.ts'
import { meanKineticOf, meanOf } from '#trade/climate-sums.ts'
import { policiesWith } from '#trade/policies.ts'
import { parseLoggerCsv } from '../../api/store/logger-csv.ts'

// NOAA hourly normals 1981–2010, Seattle: tests/store/open-data/README.md says more.
const bytes = readFileSync(new URL('./open-data/hourly-normals.csv', import.meta.url))
const rules = climateRulesOf(policiesWith({}))
const read = parseLoggerCsv(bytes, {
  layout: null,
  zone: 'Etc/GMT+8',
  now: Date.UTC(2027, 0, 1),
  warmIsRight: true,
  leaveOut: false,
})
const readings = read.readings.map(({ at, centiC }) => ({
  at,
  tempC: centiC / 100,
  humidityPercent: null,
}))

/** The year again, read by this test itself: hours since the first line, and degrees. */
const plain = bytes
  .toString('utf8')
  .trim()
  .split('\n')
  .slice(1)
  .map((line) => {
    const [time = '', temp = ''] = line.split(',')
    return { hour: Date.parse(`${time.replace(' ', 'T')}:00-08:00`) / 3_600_000, c: Number(temp) }
  })

/** The integral of `f` over the hours from one reading to another, by the trapezoid rule. */
function integral(from: number, to: number, f: (c: number) => number): number {
  let sum = 0
  for (let nr = from; nr < to; nr += 1) {
    const [one, two] = [plain[nr], plain[nr + 1]]
    if (one === undefined || two === undefined) throw new Error('the year is shorter than that')
    const hours = two.hour - one.hour
    if (hours <= rules.maxGapMinutes / 60) sum += ((f(one.c) + f(two.c)) / 2) * hours
  }
  return sum
}

describe('a year of open hourly temperatures', () => {
  it('is read whole, with its zone, and nothing is left out', () => {
    expect(read.problems).toEqual([])
    expect(read.leftOut).toBe(0)
    expect(readings).toHaveLength(plain.length)
    expect(readings.map(({ at }) => at / 3_600_000)).toEqual(plain.map(({ hour }) => hour))
    expect(readings.map(({ tempC }) => tempC)).toEqual(plain.map(({ c }) => c))
  })

  it.each([
    ['the whole year', 0, 8758],
    ['a winter in store', 0, 24 * 75],
    ['one warm day', 24 * 200, 24 * 201],
    ['a span of hours', 1003, 1010],
  ])('ages by %s as an independent sum says', (_, from, to) => {
    const [one, two] = [readings[from], readings[to]]
    if (one === undefined || two === undefined) throw new Error('the year is shorter than that')
    const [figures] = figuresOf(readings, rules, [{ from: one.at, to: two.at }])
    if (figures === undefined) throw new Error('no figures')
    const { sums } = figures
    const hours = integral(from, to, () => 1)
    expect(sums.measuredHours).toBeCloseTo(hours, 6)
    expect(meanOf(sums)).toBeCloseTo(integral(from, to, (c) => c) / hours, 6)
    // USP <1160> with ΔH/R = 10,000 K, written out here anew.
    const weight = integral(from, to, (c) => Math.exp(-10_000 / (c + 273.15))) / hours
    expect(meanKineticOf(sums)).toBeCloseTo(10_000 / -Math.log(weight) - 273.15, 6)
    const days = integral(from, to, (c) => rules.q10 ** ((c - rules.setTempC) / 10)) / 24
    expect(sums.equivalentDays).toBeCloseTo(days, 6)
    const swell = integral(from, to, (c) => Math.max(0, c - rules.swellBaseC)) / 24
    expect(sums.swellDegreeDays).toBeCloseTo(swell, 6)
    const warm = integral(from, to, (c) => (c > rules.wakingLimitC ? 1 : 0))
    expect(sums.aboveWakingHours).toBeCloseTo(warm, 6)
    const chill = integral(from, to, (c) => (c >= 0 && c <= 10 ? 1 : 0))
    expect(sums.chillingHours).toBeCloseTo(chill, 6)
    const temps = plain.slice(from, to + 1).map(({ c }) => c)
    expect(figures.highestTempC).toBe(Math.max(...temps))
    expect(figures.lowestTempC).toBe(Math.min(...temps))
  })
})
