// Technical purity against the published limit.
import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import { DEFECTS, technicalPurity } from '../../api/trade/technical-purity.ts'

describe('technical purity', () => {
  // RebPflV 1986 Anlage 2 §1.2: at least 96 % by count, so 4.0 % passes and 4.1 % fails.
  test.each([
    [1000, 40, true],
    [1000, 41, false],
    [100, 4, true],
    [100, 5, false],
    [25, 1, true],
    [24, 1, false],
    [200, 8, true],
    [200, 9, false],
    [1, 0, true],
    [1, 1, false],
  ])('of %i pieces, %i defective: within the limit is %s', (pieces, defective, within) => {
    expect(technicalPurity(pieces, { broken: defective }).withinLimit).toBe(within)
  })

  // French arrêté, annex: wood that dried out counts as an impurity even if soaked afterwards.
  test('wood that dried out counts as defective even after it was soaked again', () => {
    const soaked = technicalPurity(1000, { dried_then_soaked: 41 })
    expect(soaked).toMatchObject({ defectiveCount: 41, withinLimit: false })
    expect(soaked.defectivePercent).toBeCloseTo(4.1, 12)
    expect(technicalPurity(1000, { dried: 20, dried_then_soaked: 20 }).withinLimit).toBe(true)
    expect(technicalPurity(1000, { dried: 20, dried_then_soaked: 21 }).withinLimit).toBe(false)
  })

  test('every defect of the list counts alike', () => {
    for (const defect of DEFECTS) {
      expect(technicalPurity(100, { [defect]: 4 }).withinLimit, defect).toBe(true)
      expect(technicalPurity(100, { [defect]: 5 }).withinLimit, defect).toBe(false)
    }
  })

  test('the stated most defective pieces is the last count within the limit', () => {
    fc.assert(
      fc.property(fc.integer({ min: 1, max: 2_000_000 }), (pieces) => {
        const limit = technicalPurity(pieces, {}).defectiveLimitCount
        expect(technicalPurity(pieces, { rotted: limit }).withinLimit).toBe(true)
        expect(technicalPurity(pieces, { rotted: limit + 1 }).withinLimit).toBe(false)
      }),
    )
  })

  test('more defects than pieces, and counts that are not whole, are refused by name', () => {
    expect(() => technicalPurity(10, { dried: 6, rotted: 5 })).toThrow(/11 defects in 10 pieces/)
    expect(() => technicalPurity(10, { dried: -1 })).toThrow(/"dried" must be a whole number/)
    expect(() => technicalPurity(10, { off_size: 0.5 })).toThrow(/"off_size"/)
    expect(() => technicalPurity(0, {})).toThrow(/at least 1 whole piece/)
  })
})
