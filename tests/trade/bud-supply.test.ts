// Orders of wood: buds, sticks and packages in whole numbers.
import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { budEquivalents, budsForLiveShare, budSupply } from '#trade/bud-supply.ts'
import type { BudOrder } from '#trade/bud-supply.ts'
import { policiesWith } from '#trade/policies.ts'

function orderFor(vines: number, changes: Partial<BudOrder> = {}): BudOrder {
  const policies = policiesWith({})
  return {
    vines,
    budsPerVine: policies.budsPerVine.value,
    overageShare: policies.fieldOverageShare.value,
    usableBudsPerStick: policies.usableBudsPerStick.value,
    packageSticks: policies.scionPackageSticks.value,
    ...changes,
  }
}

describe('an order of wood', () => {
  // 50 % over: The Crush (CAWG), December 2019; 5 eyes and packages of 200: RebPflV Anlage 3.
  it('for 1,000 vines by the default policies is 600 sticks in 3 packages', () => {
    expect(budSupply(orderFor(1000))).toEqual({
      budsToSet: 2000,
      budsToOrder: 3000,
      sticks: 600,
      packages: 3,
      sticksInPackages: 600,
      sparesInPackages: 0,
    })
  })

  it('in packages of 100 is 6 of them', () => {
    expect(budSupply(orderFor(1000, { packageSticks: 100 })).packages).toBe(6)
  })

  it('for one vine more needs one stick more, and a package more', () => {
    expect(budSupply(orderFor(1001))).toMatchObject({
      budsToOrder: 3003,
      sticks: 601,
      packages: 4,
      sticksInPackages: 800,
      sparesInPackages: 199,
    })
  })

  // 10 % over for rooting cuttings: eXtension Grapes. In binary 1000 * 1.1 is above 1100.
  it('with 10 % over 1,000 buds orders 1,100, not one more by a slip of rounding', () => {
    const order = orderFor(1000, { budsPerVine: 1, overageShare: 0.1, usableBudsPerStick: 1 })
    expect(budSupply(order).sticks).toBe(1100)
  })

  it('for no vines is nothing', () => {
    expect(budSupply(orderFor(0))).toMatchObject({ sticks: 0, packages: 0 })
  })

  it('always covers what is asked, and never by a whole stick or package too many', () => {
    const anyOrder = fc.record({
      vines: fc.integer({ min: 0, max: 10_000_000 }),
      budsPerVine: fc.integer({ min: 1, max: 4 }),
      overageShare: fc.integer({ min: 0, max: 200 }).map((percent) => percent / 100),
      usableBudsPerStick: fc.integer({ min: 1, max: 12 }),
      packageSticks: fc.constantFrom(50, 100, 200),
    })
    fc.assert(
      fc.property(anyOrder, (order) => {
        const supply = budSupply(order)
        const percent = BigInt(Math.round(order.overageShare * 100))
        const wanted = BigInt(order.vines * order.budsPerVine) * (100n + percent)
        expect(BigInt(supply.budsToOrder) * 100n >= wanted).toBe(true)
        expect(BigInt(supply.budsToOrder - 1) * 100n < wanted).toBe(true)
        const spareBuds = supply.sticks * order.usableBudsPerStick - supply.budsToOrder
        expect(spareBuds).toBeGreaterThanOrEqual(0)
        expect(spareBuds).toBeLessThan(order.usableBudsPerStick)
        expect(supply.sparesInPackages).toBeGreaterThanOrEqual(0)
        expect(supply.sparesInPackages).toBeLessThan(order.packageSticks)
      }),
    )
  })

  it.each([
    ['vines', { vines: -1 }],
    ['vines', { vines: 2.5 }],
    ['budsPerVine', { budsPerVine: 0 }],
    ['usableBudsPerStick', { usableBudsPerStick: 0 }],
    ['packageSticks', { packageSticks: Number.NaN }],
    ['overageShare', { overageShare: -0.1 }],
    ['budsToOrder', { vines: 9_000_000_000_000_000, budsPerVine: 20 }],
  ])('with an impossible %s is refused by name', (name, changes) => {
    expect(() => budSupply({ ...orderFor(1000), ...changes })).toThrow(
      name === 'budsToOrder' ? /comes to .* too large/ : name,
    )
  })
})

describe('buds to take for a share that lives', () => {
  // 50 / 0.60 = 83.3, so 84: growers' forum (weak source), arithmetic.
  it('is 84 for 50 wanted at 60 of 100 alive', () => {
    expect(budsForLiveShare(50, 60, 100)).toBe(84)
  })

  it('is exact where the share has no decimals to its end', () => {
    expect(budsForLiveShare(50, 1, 3)).toBe(150)
    expect(budsForLiveShare(100, 2, 3)).toBe(150)
  })

  it.each([
    [50, 0, 100],
    [50, 101, 100],
    [-1, 60, 100],
  ])('refuses %d wanted with %d alive of %d', (wanted, alive, checked) => {
    expect(() => budsForLiveShare(wanted, alive, checked)).toThrow(RangeError)
  })
})

describe('bud equivalents', () => {
  it('count the buds on sticks and the cut buds together', () => {
    expect(budEquivalents(12, 7, 5)).toBe(67)
    expect(budEquivalents(0, 0, 5)).toBe(0)
  })

  it('keep a shortage negative', () => {
    expect(budEquivalents(-2, 3, 5)).toBe(-7)
  })

  it.each([
    [1.5, 0, 5],
    [1, 0.5, 5],
    [1, 1, 0],
  ])('refuse %d sticks and %d buds at %d a stick', (sticks, buds, perStick) => {
    expect(() => budEquivalents(sticks, buds, perStick)).toThrow(RangeError)
  })
})
