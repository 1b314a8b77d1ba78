// The policies: their published defaults, and what a nursery may and may not set.
import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { checkPolicies, policiesWith, PolicyError, POLICY_KEYS } from '#trade/policies.ts'
import type { PolicyOverrides } from '#trade/policies.ts'

describe('the defaults', () => {
  const policies = policiesWith({})

  it.each([
    // WineSkills (Plumpton College), Grafting: 24-48 h.
    ['soakMinHours', 24],
    ['soakMaxHours', 48],
    // IFV Occitanie, Le surgreffage de la vigne: take below 80 % is insufficient.
    ['takeInsufficientShare', 0.8],
    // RebPflV 1986 Anlage 2 § 1.2: at least 96 % pure by count.
    ['purityMaxDefectiveShare', 0.04],
    // RebPflV 1986 Anlage 3: 100 or 200 sticks with at least 5 usable eyes.
    ['usableBudsPerStick', 5],
    ['scionPackageSticks', 200],
    // The Crush (CAWG), December 2019: order 50 % more.
    ['fieldOverageShare', 0.5],
    // Good Fruit Grower: two budwood pieces on a trunk.
    ['budsPerVine', 2],
    // 8 months and 6 months: Int. J. Sustainable Agricultural Research 5(3):46-53, 2018.
    ['storageStopDays', Math.floor((8 * 365.25) / 12)],
    ['storageCautionDays', Math.floor((6 * 365.25) / 12)],
    // 18 months: La vite, Coltura & Cultura.
    ['vineStorageStopDays', Math.round((18 * 365.25) / 12)],
  ] as const)('%s is as published: %d', (key, value) => {
    expect(policies[key].value).toBe(value)
    expect(policies[key].source).not.toContain('no source')
  })

  // Directive 68/193/EEC, as in D.Lgs. 16/2021 art. 31.
  it('order the European classes from initial down to standard', () => {
    const ladder = policies.classLadder.value.find((entry) => entry.scheme === 'EU')
    expect(ladder?.classes).toEqual(['initial', 'base', 'certified', 'standard'])
  })

  it('each name a source and carry their own key', () => {
    for (const key of POLICY_KEYS) {
      expect(policies[key].key).toBe(key)
      expect(policies[key].source.length).toBeGreaterThan(10)
    }
  })

  it('show both sides where the sources on soaking disagree', () => {
    for (const key of ['soakMinHours', 'soakMaxHours'] as const) {
      expect(policies[key].disagreement).toMatch(/24-48 h/)
      expect(policies[key].disagreement).toMatch(/more than 8 h/)
    }
  })

  it('pass their own checks when set again', () => {
    const same = Object.fromEntries(
      POLICY_KEYS.map((key) => [key, { value: policies[key].value, unit: policies[key].unit }]),
    ) as PolicyOverrides
    expect(checkPolicies(same)).toEqual([])
  })
})

describe('a nursery setting', () => {
  it('takes the place of the default and no longer claims its source', () => {
    const { storageStopDays } = policiesWith({ storageStopDays: { value: 200 } })
    expect(storageStopDays.value).toBe(200)
    expect(storageStopDays.source).toBe('set by this nursery, no source given')
    expect(storageStopDays.sourceNote).toMatch(/^default: 243 days; .*5\(3\):46-53/)
  })

  it('keeps the source that the nursery gives', () => {
    const override = { value: 8, source: 'our adviser, 2025' }
    const policies = policiesWith({ soakMinHours: { value: 0 }, soakMaxHours: override })
    expect(policies.soakMaxHours.source).toBe('our adviser, 2025')
  })

  it.each([
    ['caution after stop', { storageCautionDays: { value: 300 } }, /below storageStopDays.*243/],
    ['caution at stop', { storageCautionDays: { value: 243 } }, /below storageStopDays/],
    ['least soak above most', { soakMinHours: { value: 49 } }, /below soakMaxHours.*48 hours/],
    ['out of water', { outOfWaterCautionHours: { value: 73 } }, /below outOfWaterMaxHours/],
    ['a share above 1', { takeInsufficientShare: { value: 80 } }, /between 0 and 1/],
    ['days in part', { storageStopDays: { value: 200.5 } }, /whole number of days/],
    ['another unit', { soakMinHours: { value: 1, unit: 'days' } }, /counted in hours, not days/],
    ['no number', { soakMinHours: { value: Number.NaN } }, /must be a number of hours/],
  ] as const)('is refused with the reason: %s', (_title, overrides, message) => {
    expect(() => policiesWith(overrides)).toThrow(message)
  })

  it.each([
    ['an unknown key', { soakHours: { value: 3 } }, /soakHours: is not a policy; known are/],
    ['a word for a number', { soakMinHours: { value: '24' } }, /must be a number of hours/],
    ['a word for yes', { contactHoldStops: { value: 'yes' } }, /true or false/],
    ['no ladder', { classLadder: { value: 'EU' } }, /list of schemes/],
    ['a nameless scheme', { classLadder: { value: [{ classes: ['a'] }] } }, /scheme 1 has no name/],
    ['a scheme twice', { classLadder: { value: twice('S') } }, /S is listed twice/],
    ['no source', { classLadder: { value: twice('S') } }, /S names no source/],
    ['no classes', { classLadder: { value: [{ scheme: 'S', classes: [] }] } }, /lists no classes/],
    [
      'a class twice',
      { classLadder: { value: [{ scheme: 'S', classes: ['a', 'a'] }] } },
      /lists a class twice/,
    ],
    [
      'a nameless class',
      { classLadder: { value: [{ scheme: 'S', classes: ['a', ''] }] } },
      /class without a name/,
    ],
  ])('from outside the types is refused with the reason: %s', (_title, overrides, message) => {
    expect(() => policiesWith(overrides as unknown as PolicyOverrides)).toThrow(message)
  })

  it('with several faults gets all of them at once', () => {
    const overrides = { takeInsufficientShare: { value: 2 }, budsPerVine: { value: 0 } }
    const keys = checkPolicies(overrides).map((problem) => problem.key)
    expect(keys).toEqual(['takeInsufficientShare', 'budsPerVine'])
    expect(() => policiesWith(overrides)).toThrow(PolicyError)
  })

  it('is accepted exactly when the least soak is below the most', () => {
    const hours = fc.integer({ min: 0, max: 240 })
    fc.assert(
      fc.property(hours, hours, (least, most) => {
        const overrides = { soakMinHours: { value: least }, soakMaxHours: { value: most } }
        expect(checkPolicies(overrides).length === 0).toBe(least < most)
      }),
    )
  })

  it('leaves the defaults as they were', () => {
    policiesWith({ budsPerVine: { value: 3 } })
    expect(policiesWith({}).budsPerVine.value).toBe(2)
  })
})

function twice(scheme: string): object[] {
  return [
    { scheme, classes: ['a'] },
    { scheme, classes: ['b'] },
  ]
}
