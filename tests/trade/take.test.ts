// Take: what is counted, what is shown apart, and how sure a share is.
import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { normalQuantile } from '#trade/normal-quantile.ts'
import { policiesWith } from '#trade/policies.ts'
import { countTake, takeAgainst, wilsonInterval } from '#trade/take.ts'
import type { GraftAttempt } from '#trade/vine-stack.ts'

let made = 0
type Look = [growing: number, callused: number, failed: number]

function graft(budCount: number, ...looks: Look[]): GraftAttempt {
  made += 1
  return {
    graftId: `g${made}`,
    lotId: 'lot-1',
    varietyId: 'v',
    clone: null,
    method: 'chip bud',
    budCount,
    graftedAt: 0,
    removedAt: null,
    takeChecks: looks.map(([growing, callused, failed], index) => {
      return { checkId: `c${index}`, checkedAt: index + 1, growing, callused, failed }
    }),
  }
}

describe('take', () => {
  it('shows vines and buds that nobody looked at apart from both numbers', () => {
    const take = countTake([
      [graft(2, [2, 0, 0])],
      [graft(2, [1, 0, 1])],
      [graft(2, [0, 1, 1])],
      [graft(2, [0, 0, 2])],
      [graft(2)],
      [],
    ])
    expect(take.vines).toEqual({
      growing: 2,
      callused: 1,
      failed: 1,
      checked: 4,
      notChecked: 1,
      share: 0.5,
      possible: { low: 0.4, high: 0.6 },
    })
    expect(take.buds).toMatchObject({
      growing: 3,
      callused: 1,
      failed: 4,
      checked: 8,
      notChecked: 2,
      share: 3 / 8,
    })
  })

  it('of nothing is no share, not nought', () => {
    const take = countTake([])
    expect(take.vines).toMatchObject({ share: null, possible: null, checked: 0 })
    expect(countTake([[graft(2)]]).buds).toMatchObject({
      share: null,
      possible: { low: 0, high: 1 },
    })
  })

  it('counts a vine as growing when any attempt on it grows', () => {
    const take = countTake([[graft(1, [0, 0, 1]), graft(1, [1, 0, 0])]])
    expect(take.vines).toMatchObject({ growing: 1, failed: 0, checked: 1 })
    expect(take.buds).toMatchObject({ growing: 1, failed: 1, checked: 2 })
  })

  it('does not call a vine failed while one of its buds was not looked at', () => {
    const take = countTake([[graft(2, [0, 0, 1])]])
    expect(take.vines).toMatchObject({ failed: 0, notChecked: 1, checked: 0 })
    expect(take.buds).toMatchObject({ failed: 1, notChecked: 1, checked: 1 })
  })

  it('goes by the latest look', () => {
    expect(countTake([[graft(2, [0, 2, 0], [2, 0, 0])]]).buds).toMatchObject({ growing: 2 })
    expect(countTake([[graft(2, [2, 0, 0], [0, 0, 2])]]).vines).toMatchObject({ failed: 1 })
  })

  it('counts a graft that was removed later by its last look', () => {
    const removed = { ...graft(2, [2, 0, 0]), removedAt: 99 }
    expect(countTake([[removed]]).vines).toMatchObject({ growing: 1, checked: 1 })
  })

  it('leaves a look at more buds than were set out of the buds, and names it', () => {
    const odd = graft(2, [3, 0, 0])
    const take = countTake([[odd], [graft(2, [1, 0, 1])]])
    expect(take.disagreeingGraftIds).toEqual([odd.graftId])
    expect(take.buds).toMatchObject({ growing: 1, failed: 1, checked: 2 })
  })

  it('accounts for every vine and every bud that was set', () => {
    const count = fc.integer({ min: 0, max: 3 })
    const anyGraft = fc
      .tuple(count, count, count, count)
      .map(([growing, callused, failed, rest]) =>
        graft(growing + callused + failed + rest, [growing, callused, failed]),
      )
    const anyVines = fc.array(fc.array(anyGraft, { minLength: 1, maxLength: 3 }))
    fc.assert(
      fc.property(anyVines, (vines) => {
        const take = countTake(vines)
        const set = vines.flat().reduce((sum, one) => sum + one.budCount, 0)
        expect(take.vines.checked + take.vines.notChecked).toBe(vines.length)
        expect(take.buds.checked + take.buds.notChecked).toBe(set)
        const { share, possible } = take.buds
        if (share === null || possible === null) return
        expect(possible.low).toBeLessThanOrEqual(share)
        expect(possible.high).toBeGreaterThanOrEqual(share)
      }),
    )
  })

  // IFV Occitanie: below 80 % is insufficient.
  it.each([
    [45, 50, 'undecided'],
    [48, 50, 'sufficient'],
    [30, 50, 'insufficient'],
    [0, 0, 'unknown'],
  ] as const)('of %i in %i against the wanted 80 %% is %s', (growing, checked, expected) => {
    const wanted = policiesWith({}).takeInsufficientShare.value
    expect(takeAgainst({ growing, checked }, wanted)).toBe(expected)
  })
})

describe('the Wilson interval', () => {
  // R. G. Newcombe, Statistics in Medicine 17:857-872, 1998, Table I, method 3.
  it.each([
    [81, 263, 0.2553, 0.3662],
    [15, 148, 0.0624, 0.1605],
    [0, 20, 0, 0.1611],
    [1, 29, 0.0061, 0.1718],
  ])('of %i in %i is as Newcombe prints it', (x, n, low, high) => {
    const interval = wilsonInterval(x, n)
    expect(interval.low).toBeCloseTo(low, 4)
    expect(interval.high).toBeCloseTo(high, 4)
  })

  // R 4.2.2, prop.test(x, n, correct = FALSE)$conf.int.
  it.each([
    [0, 10, 0, 0.277532799862889],
    [10, 10, 0.722467200137111, 1],
    [87, 96, 0.831346693077785, 0.949891891787854],
    [1999, 2000, 0.997173137496734, 0.999911732269294],
  ])('of %i in %i is as R computes it', (x, n, low, high) => {
    const interval = wilsonInterval(x, n)
    expect(Math.abs(interval.low - low)).toBeLessThan(1e-12)
    expect(Math.abs(interval.high - high)).toBeLessThan(1e-12)
  })

  // Worked from the formula by hand; the 1 in 21 are shears that passed Xylella on (EPPO record).
  it.each([
    [45, 50, 78.6, 95.7, 1],
    [1, 21, 0.85, 22.67, 2],
  ])('of %i in %i is %d to %d per cent', (x, n, low, high, digits) => {
    const interval = wilsonInterval(x, n)
    expect((interval.low * 100).toFixed(digits)).toBe(low.toFixed(digits))
    expect((interval.high * 100).toFixed(digits)).toBe(high.toFixed(digits))
  })

  it('of nothing looked at is everything from 0 to 1', () => {
    expect(wilsonInterval(0, 0)).toEqual({ low: 0, high: 1 })
  })

  it('holds the share, stays within 0 to 1, and mirrors when success and failure swap', () => {
    const counts = fc.integer({ min: 1, max: 1_000_000 }).chain((n) => {
      return fc.tuple(fc.integer({ min: 0, max: n }), fc.constant(n))
    })
    const confidences = fc.constantFrom(0.5, 0.8, 0.9, 0.95, 0.99, 0.999)
    fc.assert(
      fc.property(counts, confidences, ([x, n], confidence) => {
        const { low, high } = wilsonInterval(x, n, confidence)
        expect(low).toBeGreaterThanOrEqual(0)
        expect(high).toBeLessThanOrEqual(1)
        expect(low).toBeLessThanOrEqual(x / n)
        expect(high).toBeGreaterThanOrEqual(x / n)
        const mirrored = wilsonInterval(n - x, n, confidence)
        expect(mirrored.low).toBeCloseTo(1 - high, 12)
        expect(mirrored.high).toBeCloseTo(1 - low, 12)
      }),
    )
  })

  it('is wider with more confidence', () => {
    const at = (confidence: number) => wilsonInterval(45, 50, confidence)
    expect(at(0.99).low).toBeLessThan(at(0.95).low)
    expect(at(0.99).high).toBeGreaterThan(at(0.95).high)
  })

  it.each([
    [-1, 10, 0.95],
    [11, 10, 0.95],
    [1.5, 10, 0.95],
    [1, Number.NaN, 0.95],
    [1, 10, 0],
    [1, 10, 1],
    [1, 10, 95],
  ])('refuses %d in %d at confidence %d', (x, n, confidence) => {
    expect(() => wilsonInterval(x, n, confidence)).toThrow(RangeError)
  })
})

describe('the normal quantile', () => {
  // SciPy 1.17.1, scipy.stats.norm.ppf; the centre, the middle and the far tail of AS 241.
  it.each([
    [0.5, 0],
    [0.6, 0.2533471031357997],
    [0.925, 1.4395314709384563],
    [0.9251, 1.4402382675279635],
    [0.95, 1.6448536269514722],
    [0.975, 1.959963984540054],
    [0.999, 3.090232306167813],
    [0.9999999, 5.199337582290661],
    [0.0749, -1.4402382675279635],
    [1e-10, -6.361340902404056],
    [1e-100, -21.273453560965322],
    [1e-300, -37.0470962993612],
  ])('at %d is as SciPy computes it', (p, expected) => {
    expect(Math.abs(normalQuantile(p) - expected)).toBeLessThanOrEqual(4e-15 * Math.abs(expected))
  })

  it('mirrors about one half', () => {
    fc.assert(
      fc.property(fc.double({ min: 2 ** -30, max: 0.5, noNaN: true }), (p) => {
        // 1 - (1 - p) is what the upper half really sees of p.
        const seen = 1 - (1 - p)
        const upper = normalQuantile(1 - p)
        expect(Math.abs(upper + normalQuantile(seen))).toBeLessThanOrEqual(1e-12)
      }),
    )
  })

  it.each([0, 1, -0.1, 1.1, Number.NaN])('refuses %d', (p) => {
    expect(() => normalQuantile(p)).toThrow(RangeError)
  })
})
