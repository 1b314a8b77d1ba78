// The few readings of the air that a phone carries say the same as all of them.
import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { dryingAirOf, dryingReadings } from '#trade/drying.ts'
import { MS_PER_HOUR } from '#trade/intervals.ts'
import { vapourPressureDeficitKPa } from '#trade/psychrometrics.ts'

const last = Date.UTC(2027, 1, 3, 8)
const reading = fc.record({
  readAt: fc.integer({ min: 0, max: 30 * 60 }).map((minutes) => last - minutes * 60_000),
  tempC: fc.integer({ min: -5, max: 40 }),
  humidityPercent: fc.integer({ min: 5, max: 100 }),
})

describe('the readings of the air that are told', () => {
  it('give the drying power of all of them, at any later moment', () => {
    fc.assert(
      fc.property(fc.array(reading), fc.integer({ min: 0, max: 30 }), (readings, hours) => {
        const now = last + hours * MS_PER_HOUR
        const told = dryingAirOf(dryingReadings(readings), now)
        expect(told?.vpdKPa).toEqual(dryingAirOf(readings, now)?.vpdKPa)
      }),
    )
  })

  it('are in order of time, and each dries more than every later one', () => {
    fc.assert(
      fc.property(fc.array(reading), (readings) => {
        const told = dryingReadings(readings)
        for (const [nr, one] of told.entries()) {
          const next = told[nr + 1]
          if (next === undefined) continue
          expect(one.readAt).toBeLessThan(next.readAt)
          expect(power(one)).toBeGreaterThan(power(next))
        }
      }),
    )
  })
})

const power = (one: { tempC: number; humidityPercent: number }) =>
  vapourPressureDeficitKPa(one.tempC, one.humidityPercent)
