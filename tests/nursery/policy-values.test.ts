// Settings from the journal become policies that judgement can use, whatever devices have sent.
import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { policiesFrom, readLadderLine, storedValue } from '../../api/nursery/policy-values.ts'
import type { PolicySettingRow } from '../../api/nursery/policy-values.ts'
import { checkPolicies, POLICY_KEYS } from '../../api/trade/policies.ts'
import { DEFAULT_POLICIES } from '../../api/trade/policy-defaults.ts'

const setting = (key: string, value: unknown, day = 1): PolicySettingRow => ({
  key,
  value,
  source: 'own trial',
  effective_from: '2027-01-01',
  occurred_at: new Date(Date.UTC(2027, 0, day)),
})

describe('policies from settings', () => {
  it('are the defaults where nothing is set', () => {
    expect(policiesFrom([])).toEqual({ policies: DEFAULT_POLICIES, refused: [] })
  })

  it('take two settings that only fit together', () => {
    const { policies, refused } = policiesFrom([
      setting('storageCautionDays', 300, 1),
      setting('storageStopDays', 400, 2),
    ])
    expect(refused).toEqual([])
    expect(policies.storageCautionDays.value).toBe(300)
  })

  it('refuse of two that contradict each other the one entered last', () => {
    const { policies, refused } = policiesFrom([
      setting('soakMaxHours', 30, 3),
      setting('soakMinHours', 40, 4),
    ])
    expect(refused.map((one) => one.setting.key)).toEqual(['soakMinHours'])
    expect(policies.soakMaxHours.value).toBe(30)
    expect(policies.soakMinHours.value).toBe(24)
  })

  it('refuse an upper limit set below the lower one’s default', () => {
    const { policies, refused } = policiesFrom([setting('soakMaxHours', 10)])
    expect(refused.map((one) => one.setting.key)).toEqual(['soakMaxHours'])
    expect(policies.soakMaxHours.value).toBe(48)
  })

  it('are always usable, and keep every setting or refuse it by name', () => {
    const key = fc.oneof(fc.constantFrom(...POLICY_KEYS), fc.string(), fc.constant('__proto__'))
    const value = fc.oneof(
      fc.integer({ min: -5, max: 500 }),
      fc.boolean(),
      fc.string(),
      fc.array(fc.string()),
    )
    fc.assert(
      fc.property(fc.uniqueArray(fc.tuple(key, value), { selector: ([one]) => one }), (pairs) => {
        const settings = pairs.map(([one, given], nr) => setting(one, given, nr + 1))
        const { policies, refused } = policiesFrom(settings)
        const used = Object.fromEntries(
          POLICY_KEYS.map((one) => [one, { value: policies[one].value }]),
        )
        expect(checkPolicies(used)).toEqual([])
        const kept = settings.filter((one) => !refused.some(({ setting: no }) => no === one))
        expect(kept.every((one) => (POLICY_KEYS as readonly string[]).includes(one.key))).toBe(true)
      }),
    )
  })
})

describe('an order of classes', () => {
  it('is stored as a line for each scheme and read back the same', () => {
    const stored = storedValue(DEFAULT_POLICIES.classLadder.value)
    expect(stored).toEqual([
      'EU: initial > base > certified > standard',
      'generation: G1 > G2 > G3 > G4',
    ])
    const { policies } = policiesFrom([setting('classLadder', stored)])
    const plain = (ladders: typeof policies.classLadder.value) =>
      ladders.map(({ scheme, classes }) => ({ scheme, classes }))
    expect(plain(policies.classLadder.value)).toEqual(plain(DEFAULT_POLICIES.classLadder.value))
  })

  it('without a scheme, or with a class left empty, is not read', () => {
    for (const line of ['A > B', ': A > B', 'EU:', 'EU: A > > B', '']) {
      expect(readLadderLine(line, 'x')).toBeNull()
    }
  })
})
