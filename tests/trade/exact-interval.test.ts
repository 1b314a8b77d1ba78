// Exact limits of a share, against values of R, and how many buds a claim needs.
import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { exactInterval, sampleForClaim } from '#trade/exact-interval.ts'
import { wilsonInterval } from '#trade/take.ts'

/** R 4.2.2, binom.test(x, n, conf.level = c)$conf.int. */
const fromR: [x: number, n: number, confidence: number, low: number, high: number][] = [
  [0, 10, 0.95, 0, 0.308497107818761],
  [0, 10, 0.99, 0, 0.411295981347525],
  [1, 10, 0.9, 0.0051161968918237, 0.394163302436505],
  [10, 10, 0.95, 0.691502892181239, 1],
  [10, 10, 0.99, 0.588704018652475, 1],
  [7, 20, 0.9, 0.177310917574449, 0.558034511315489],
  [87, 96, 0.95, 0.829481455658764, 0.95622961673729],
  [87, 96, 0.99, 0.803429271284662, 0.966508216671248],
  [152, 160, 0.9, 0.911593792443191, 0.974880382091679],
  [0, 1, 0.95, 0, 0.975],
  [1, 1, 0.9, 0.05, 1],
  [0, 59, 0.95, 0, 0.0606089009503399],
  [1999, 2000, 0.9, 0.997630286632343, 0.999974353681679],
  [3, 100000, 0.95, 6.18676395892204e-6, 8.7670202566362e-5],
]

describe('the exact interval', () => {
  it.each(fromR)('of %i in %i at %d is that of R', (x, n, confidence, low, high) => {
    const interval = exactInterval(x, n, confidence)
    expect(interval.low).toBeCloseTo(low, 12)
    expect(interval.high).toBeCloseTo(high, 12)
  })

  it('encloses what was seen, and is the mirror of that for the other outcome', () => {
    const sample = fc
      .integer({ min: 1, max: 400 })
      .chain((n) => fc.tuple(fc.integer({ min: 0, max: n }), fc.constant(n)))
    fc.assert(
      fc.property(sample, ([x, n]) => {
        const { low, high } = exactInterval(x, n)
        expect(low).toBeLessThanOrEqual(x / n)
        expect(high).toBeGreaterThanOrEqual(x / n)
        const mirrored = exactInterval(n - x, n)
        expect(mirrored.low).toBeCloseTo(1 - high, 9)
        const wilson = wilsonInterval(x, n)
        expect(high - low).toBeGreaterThan(wilson.high - wilson.low - 0.02)
      }),
    )
  })

  it('knows nothing of a sample of none', () => {
    expect(exactInterval(0, 0)).toEqual({ low: 0, high: 1 })
  })

  it('refuses 60 alive of 50 sampled, and half a bud', () => {
    expect(() => exactInterval(60, 50)).toThrow(/60 of 50/)
    expect(() => exactInterval(0.5, 50)).toThrow(RangeError)
    expect(() => exactInterval(1, 2, 1)).toThrow(/confidence/)
  })
})

describe('the buds that a claim needs', () => {
  it('are 59 for 95 % and 299 for 99 % when none is dead, at 95 % one-sided', () => {
    // ln(0.05) / ln(0.95) and ln(0.05) / ln(0.99), the sampling of ISPM 31 for no failure seen.
    expect(sampleForClaim(1, 0.95, 0.9)).toBe(59)
    expect(sampleForClaim(1, 0.99, 0.9)).toBe(299)
  })

  it('do: fewer would not, and a share that is no better than the claim never does', () => {
    const needed = sampleForClaim(0.9, 0.8) ?? 0
    expect(exactInterval(Math.floor(0.9 * needed), needed).low).toBeGreaterThanOrEqual(0.8)
    for (let n = 1; n < needed; n += 1) {
      expect(exactInterval(Math.floor(0.9 * n + 1e-9), n).low).toBeLessThan(0.8)
    }
    expect(sampleForClaim(0.8, 0.8)).toBeNull()
    expect(sampleForClaim(0.5, 0.8)).toBeNull()
    expect(sampleForClaim(0.8001, 0.8)).toBeNull()
  })
})
