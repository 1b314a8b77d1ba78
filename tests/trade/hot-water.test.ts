// Hot water: the published matrix, curves, and never a word of cure where heat only reduces.
import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { heatCares, judgeHotWater, longestAtOrAbove } from '#trade/hot-water.ts'
import type { CurveReading, HotWaterRun } from '#trade/hot-water.ts'
import { HOT_WATER_PROTOCOLS, HOT_WATER_PURPOSES } from '#trade/hot-water-protocols.ts'

const set = (tempC: number, minutes: number): HotWaterRun => ({ by: 'set point', tempC, minutes })
const curve = (...points: [minute: number, tempC: number][]): HotWaterRun => ({
  by: 'curve',
  readings: points.map(([minute, tempC]) => ({ minute, tempC })),
})
/** One reading a minute from 0 to `minutes`. */
const steady = (tempC: number, minutes: number): HotWaterRun =>
  curve(...Array.from({ length: minutes + 1 }, (_, minute): [number, number] => [minute, tempC]))

describe('phylloxera', () => {
  // Clarke et al.: what killed every insect and what did not.
  const killed: [number, number][] = [
    [45, 30],
    [50, 5],
    [50, 30],
    [54, 5],
    [54, 30],
  ]
  const survived: [number, number][] = [
    [45, 5],
    [40, 5],
    [40, 30],
    [22, 5],
    [22, 30],
  ]
  it.each(killed)('%i °C for %i minutes meets the trial', (tempC, minutes) => {
    expect(judgeHotWater(set(tempC, minutes), 'phylloxera').outcome).toBe('met')
    expect(judgeHotWater(steady(tempC, minutes), 'phylloxera').outcome).toBe('met')
  })
  it.each(survived)('%i °C for %i minutes does not', (tempC, minutes) => {
    expect(judgeHotWater(set(tempC, minutes), 'phylloxera').outcome).toBe('not met')
    expect(judgeHotWater(steady(tempC, minutes), 'phylloxera').outcome).toBe('not met')
  })
})

describe('what must be held for 45 minutes at 50 °C', () => {
  // EPPO PM 10/18(1) and Directive 2000/29/EC Annex IV.B.32; EFSA Journal 2015.
  it.each(['flavescence dorée', 'Xylella fastidiosa'] as const)('%s', (purpose) => {
    expect(judgeHotWater(set(50, 45), purpose).outcome).toBe('met')
    expect(judgeHotWater(set(50, 44), purpose).outcome).toBe('not met')
    expect(judgeHotWater(set(49, 60), purpose).outcome).toBe('not met')
    expect(judgeHotWater(set(50, 35), purpose).outcome).toBe('not met')
  })

  it('the import rule of 35 minutes is another purpose', () => {
    const rule = 'import rule of 35 minutes at 50 °C'
    expect(judgeHotWater(set(50, 35), rule).outcome).toBe('met')
    expect(judgeHotWater(set(50, 30), rule).outcome).toBe('not met')
  })
})

describe('what heat only reduces', () => {
  const anyRun = fc.record({
    by: fc.constant('set point' as const),
    tempC: fc.double({ min: 0, max: 100, noNaN: true }),
    minutes: fc.double({ min: 0, max: 1440, noNaN: true }),
  })

  it('crown gall stays "reduced", however hot and long', () => {
    expect(judgeHotWater(set(50, 30), 'crown gall (Agrobacterium vitis)').outcome).toBe('reduced')
    fc.assert(
      fc.property(anyRun, (run) => {
        const { outcome } = judgeHotWater(run, 'crown gall (Agrobacterium vitis)')
        expect(['reduced', 'not met']).toContain(outcome)
        expect(judgeHotWater(run, 'trunk disease fungi').outcome).not.toBe('met')
      }),
    )
  })

  it('viruses are beyond it', () => {
    fc.assert(
      fc.property(anyRun, (run) => {
        expect(judgeHotWater(run, 'viruses').outcome).toBe('no effect')
      }),
    )
  })

  it('no purpose promises wood free of anything', () => {
    const claim = /\b(cured?|cleared|free of|disease-free|eliminates)\b/i
    for (const purpose of HOT_WATER_PURPOSES) {
      expect(HOT_WATER_PROTOCOLS[purpose].meaning).not.toMatch(claim)
      expect(HOT_WATER_PROTOCOLS[purpose].source).not.toBe('')
    }
  })
})

describe('a curve', () => {
  it('counts the longest unbroken time, with the crossings between readings', () => {
    const dipped = curve([0, 45], [5, 55], [10, 55], [15, 45], [20, 55], [25, 55])
    // Half of a straight way from 45 to 55 lies at or above 50: 2.5 + 5 + 2.5, then 2.5 + 5.
    expect(longestAtOrAbove(dipped, 50)).toBeCloseTo(10, 9)
  })

  it('a minute too cool breaks the time', () => {
    const readings: CurveReading[] = Array.from({ length: 61 }, (_, minute) => ({
      minute,
      tempC: minute === 30 ? 48 : 50,
    }))
    const run: HotWaterRun = { by: 'curve', readings }
    expect(longestAtOrAbove(run, 50)).toBe(29)
    expect(judgeHotWater(run, 'flavescence dorée').outcome).toBe('not met')
  })

  it('a gap in the readings breaks the time: nobody measured it', () => {
    expect(longestAtOrAbove(curve([0, 50], [45, 50]), 50)).toBe(0)
    expect(longestAtOrAbove(curve([0, 50], [5, 50], [10, 50]), 50)).toBe(10)
  })

  it('a reading within the tolerance of 0.1 °C counts, one below does not', () => {
    expect(judgeHotWater(steady(49.9, 45), 'flavescence dorée').outcome).toBe('met')
    expect(judgeHotWater(steady(49.8, 45), 'flavescence dorée').outcome).toBe('not met')
    expect(judgeHotWater(steady(49.9, 45), 'flavescence dorée', 0).outcome).toBe('not met')
  })

  it('never holds longer than it lasted, and never longer when it must be hotter', () => {
    const anyCurve = fc
      .array(fc.double({ min: 20, max: 60, noNaN: true }), { minLength: 2, maxLength: 60 })
      .map((temps) => curve(...temps.map((tempC, minute): [number, number] => [minute, tempC])))
    const temp = fc.double({ min: 20, max: 60, noNaN: true })
    fc.assert(
      fc.property(anyCurve, temp, temp, (run, one, other) => {
        if (run.by !== 'curve') return
        const held = longestAtOrAbove(run, Math.min(one, other))
        expect(held).toBeLessThanOrEqual((run.readings.at(-1)?.minute ?? 0) + 1e-9)
        expect(longestAtOrAbove(run, Math.max(one, other))).toBeLessThanOrEqual(held + 1e-9)
      }),
    )
  })

  it('refuses readings out of order or without a number, by their place', () => {
    expect(() => longestAtOrAbove(curve([0, 50], [2, 50], [1, 50]), 50)).toThrow(/reading 3/)
    expect(() => longestAtOrAbove(curve([0, 50], [0, 50]), 50)).toThrow(/reading 2/)
    expect(() => longestAtOrAbove(curve([0, Number.NaN]), 50)).toThrow(/reading 1/)
  })
})

it('heat that may kill buds is told, and that the wood must drain', () => {
  expect(heatCares(set(53, 30))).toContain('buds may be killed')
  expect(heatCares(set(50, 90))).toContain('harm varies by variety')
  expect(heatCares(set(50, 45))).toEqual(['fan and drain at once'])
})
