// Moisture by both bases, and loss of water told from loss of weight.
import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { lossBetween, moistureOfShare, moistureOfWeights } from '#trade/moisture.ts'

describe('moisture', () => {
  it('0.52 g for a gram of dry wood is 34.2 % of fresh weight', () => {
    // J. Amer. Pomological Soc. 70(1), 2016: 95 % of dormant grafted vines lived.
    const { ofFresh, ofDry } = moistureOfShare(0.52, 'dry weight')
    expect(ofFresh).toBeCloseTo(0.52 / 1.52, 12)
    expect(ofFresh.toFixed(3)).toBe('0.342')
    expect(ofDry).toBe(0.52)
  })

  it('is the same by weights and by share, whichever basis is named', () => {
    fc.assert(
      fc.property(
        fc.double({ min: 1, max: 500, noNaN: true }),
        fc.double({ min: 0.1, max: 1, noNaN: true }),
        (fresh, dryShare) => {
          const weighed = moistureOfWeights(fresh, fresh * dryShare)
          const back = moistureOfShare(weighed.ofDry, 'dry weight')
          expect(back.ofFresh).toBeCloseTo(weighed.ofFresh, 9)
          expect(moistureOfShare(weighed.ofFresh, 'fresh weight').ofDry).toBeCloseTo(
            weighed.ofDry,
            6,
          )
        },
      ),
    )
  })

  it('refuses a dry weight above the fresh one, and wood that is all water', () => {
    expect(() => moistureOfWeights(80, 90)).toThrow(/dry weight 90 cannot exceed.* 80/)
    expect(() => moistureOfWeights(0, 0)).toThrow(/fresh weight must be above 0/)
    expect(() => moistureOfShare(1, 'fresh weight')).toThrow(RangeError)
    expect(() => moistureOfShare(-0.1, 'dry weight')).toThrow(RangeError)
  })
})

describe('loss', () => {
  it('a fifth of the water off 100 g at 50 % leaves 90 g at 44.4 %', () => {
    const loss = lossBetween(100, 90, 0.5)
    expect(loss.ofWater).toBeCloseTo(0.2, 12)
    expect(loss.ofWeight).toBeCloseTo(0.1, 12)
    expect(loss.ofFreshNow).toBeCloseTo(0.4444, 4)
  })

  it('a fifth of the weight off 100 g at 50 % leaves 80 g at 37.5 %', () => {
    const loss = lossBetween(100, 80, 0.5)
    expect(loss.ofWeight).toBeCloseTo(0.2, 12)
    expect(loss.ofWater).toBeCloseTo(0.4, 12)
    expect(loss.ofFreshNow).toBeCloseTo(0.375, 12)
  })

  it('does not say how much water was lost where nobody measured how much there was', () => {
    expect(lossBetween(100, 90, null)).toEqual({
      ofWeight: 0.1,
      ofWater: null,
      ofFreshNow: null,
    })
  })

  it('refuses a loss greater than the water there was', () => {
    expect(() => lossBetween(100, 40, 0.5)).toThrow(/60 lost is more than the 50/)
  })
})
