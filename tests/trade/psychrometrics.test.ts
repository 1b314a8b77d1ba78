// Moist air and mean kinetic temperature, against published figures and a reference library.
import fc from 'fast-check'
import psychrolib from 'psychrolib'
import { describe, expect, it } from 'vitest'
import {
  activationEnergyKJ,
  MEAN_KINETIC_KELVIN,
  meanKineticTemperatureC,
  q10OfActivation,
} from '#trade/mean-kinetic-temperature.ts'
import {
  meanSaturationVapourPressureKPa,
  saturationVapourPressureKPa,
  vapourPressureDeficitKPa,
} from '#trade/psychrometrics.ts'

describe('saturation vapour pressure', () => {
  it.each([
    [15, 1.70535],
    [24.5, 3.07465],
  ])('at %d °C is %d kPa, as the unrounded values of FAO-56 eq. 11 are', (tempC, kPa) => {
    expect(saturationVapourPressureKPa(tempC)).toBeCloseTo(kPa, 5)
  })

  it.each([
    [1, 0.657],
    [2, 0.706],
    [4, 0.813],
    [5, 0.872],
    [8, 1.073],
    [10, 1.228],
    [20, 2.338],
    [25, 3.168],
    [30, 4.243],
    [40, 7.376],
  ])('at %d °C is %d kPa to three places (FAO-56 Table 2.3, by eq. 11)', (tempC, kPa) => {
    expect(Math.abs(saturationVapourPressureKPa(tempC) - kPa)).toBeLessThanOrEqual(0.0005001)
  })

  it('of a day is the mean of two pressures (FAO-56 Example 3): 2.39, not 2.30 kPa', () => {
    expect(meanSaturationVapourPressureKPa(24.5, 15)).toBeCloseTo(2.39, 2)
    expect(saturationVapourPressureKPa(19.75)).toBeCloseTo(2.3, 2)
  })

  it('of a day is what the R package sirad documents for 25.1 and 19.1 °C', () => {
    expect(meanSaturationVapourPressureKPa(25.1, 19.1)).toBeCloseTo(2.698918, 6)
  })

  it('is within half a per cent of the ASHRAE formulation over water, from 0 to 50 °C', () => {
    psychrolib.SetUnitSystem(psychrolib.SI)
    for (let tempC = 0.1; tempC <= 50; tempC += 0.7) {
      const ashraeKPa = psychrolib.GetSatVapPres(tempC) / 1000
      expect(Math.abs(saturationVapourPressureKPa(tempC) / ashraeKPa - 1)).toBeLessThan(0.005)
    }
  })

  it('below 0 °C is over water, so it lies above the ice of the reference library', () => {
    psychrolib.SetUnitSystem(psychrolib.SI)
    for (const tempC of [-1, -5, -10]) {
      const overIceKPa = psychrolib.GetSatVapPres(tempC) / 1000
      expect(saturationVapourPressureKPa(tempC)).toBeGreaterThan(overIceKPa)
    }
    expect(() => saturationVapourPressureKPa(-237.3)).toThrow(RangeError)
  })
})

describe('vapour pressure deficit', () => {
  it.each([
    [4, 90, 0.0813],
    [2, 95, 0.0353],
    [1, 90, 0.0657],
    [1, 80, 0.1313],
    [2, 80, 0.1411],
    [25, 50, 1.584],
    [35, 20, 4.498],
  ])('at %d °C and %d %% is %d kPa', (tempC, humidity, kPa) => {
    expect(vapourPressureDeficitKPa(tempC, humidity)).toBeCloseTo(kPa, kPa > 1 ? 3 : 4)
  })

  it('agrees with the reference library to half a per cent', () => {
    psychrolib.SetUnitSystem(psychrolib.SI)
    for (const [tempC, humidity] of [
      [4, 0.9],
      [15, 0.6],
      [30, 0.35],
    ] as const) {
      const ratio = psychrolib.GetHumRatioFromRelHum(tempC, humidity, 101_325)
      const ashraeKPa = psychrolib.GetVaporPressureDeficit(tempC, ratio, 101_325) / 1000
      const ours = vapourPressureDeficitKPa(tempC, humidity * 100)
      expect(Math.abs(ours / ashraeKPa - 1)).toBeLessThan(0.005)
    }
  })

  it('refuses a humidity that air cannot have', () => {
    expect(() => vapourPressureDeficitKPa(4, 100.5)).toThrow(RangeError)
    expect(() => vapourPressureDeficitKPa(4, Number.NaN)).toThrow(RangeError)
  })
})

describe('mean kinetic temperature', () => {
  const hours = (...pairs: [number, number][]) =>
    meanKineticTemperatureC(pairs.map(([tempC, span]) => ({ tempC, hours: span })))

  it('is that of the published worked example: 200, 20, 8, 300 h give 22.36 °C', () => {
    expect(hours([23, 200], [28, 20], [30, 8], [21, 300])).toBeCloseTo(22.3631, 4)
  })

  it('is that of the calculated checks by the constants of USP <1160>', () => {
    expect(hours([15, 1], [20, 1], [25, 1], [30, 1])).toBeCloseTo(24.1041, 4)
    expect(hours([0, 1], [10, 1])).toBeCloseTo(6.4327, 4)
    expect(hours([5, 700])).toBeCloseTo(5, 10)
    expect(hours([2, 166], [30, 2])).toBeCloseTo(4.1746, 4)
    expect(hours([2, 23], [25, 1])).toBeCloseTo(5.8255, 4)
    expect(hours()).toBeNull()
  })

  it('is never below the mean temperature', () => {
    const part = fc.record({
      tempC: fc.double({ min: -30, max: 45, noNaN: true }),
      hours: fc.double({ min: 0.01, max: 500, noNaN: true }),
    })
    fc.assert(
      fc.property(fc.array(part, { minLength: 1, maxLength: 30 }), (parts) => {
        const total = parts.reduce((sum, { hours: span }) => sum + span, 0)
        const mean = parts.reduce((sum, one) => sum + one.tempC * one.hours, 0) / total
        expect(meanKineticTemperatureC(parts)).toBeGreaterThanOrEqual(mean - 1e-9)
      }),
    )
  })
})

describe('Q10 and activation energy', () => {
  it.each([
    [2.8, 71.1],
    [3.8, 92.1],
    [3.2, 80.3],
    [3.6, 88.4],
  ])('a Q10 of %d from 10 to 20 °C, measured on grape buds, is %d kJ/mol', (q10, energy) => {
    expect(activationEnergyKJ(q10)).toBeCloseTo(energy, 1)
  })

  it('2.8 is 71.06 kJ/mol, and 10,000 K is a Q10 of 3.336', () => {
    expect(activationEnergyKJ(2.8)).toBeCloseTo(71.06, 2)
    expect(q10OfActivation(MEAN_KINETIC_KELVIN)).toBeCloseTo(3.336, 3)
  })
})
