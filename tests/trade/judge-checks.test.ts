// What the latest looks at buds, cambium, moisture and weather do to a verdict.
import { describe, expect, it } from 'vitest'
import { dryingAirOf, outOfWaterLimits } from '#trade/drying.ts'
import { MS_PER_DAY, MS_PER_HOUR } from '#trade/intervals.ts'
import { judge } from '#trade/judge.ts'
import { latestChecks } from '#trade/latest-checks.ts'
import type { KnownLotFacts } from '#trade/lot-facts.ts'
import { policiesWith } from '#trade/policies.ts'
import { worstChecks } from '#trade/wood-checks.ts'
import type { WoodChecks } from '#trade/wood-checks.ts'
import { NOW, soundLot } from './lot-facts-arbitrary.ts'

const policies = policiesWith({})
const none: WoodChecks = { buds: null, cambium: null, moisture: null }
const codesOf = (changes: Partial<KnownLotFacts>) =>
  judge(soundLot(changes), policies, NOW).reasons.map(({ code }) => code)
const looked = (live: number, sampled: number, daysAgo = 1) => ({
  ...{ checkedAt: NOW - daysAgo * MS_PER_DAY, live, sampled },
})

describe('buds', () => {
  it('stop a lot that shows too few alive, and caution where the sample is too small', () => {
    expect(codesOf({ checks: { ...none, buds: looked(50, 96) } })).toContain('check.too_low')
    expect(codesOf({ checks: { ...none, buds: looked(38, 50) } })).toContain('check.low')
    expect(codesOf({ checks: { ...none, buds: looked(18, 20) } })).toContain('check.small')
    expect(codesOf({ checks: { ...none, buds: looked(96, 100) } })).toContain('check.good')
  })

  it('are to be looked at again after the days of the policy', () => {
    expect(codesOf({ checks: { ...none, buds: looked(96, 100, 91) } })).toContain('check.old')
    expect(codesOf({ checks: { ...none, buds: looked(96, 100, 90) } })).not.toContain('check.old')
    const cutAt = NOW - 91 * MS_PER_DAY
    expect(codesOf({ checks: none, cutAt })).toContain('check.never')
    expect(codesOf({ cutAt })).not.toContain('check.never')
  })

  it('a green scratch clears nothing, and a brown one counts', () => {
    const scratched = (live: number) => codesOf({ checks: { ...none, cambium: looked(live, 40) } })
    expect(scratched(40).filter((code) => code.startsWith('check.'))).toEqual([])
    expect(scratched(10)).toContain('check.too_low')
  })
})

describe('moisture', () => {
  const madeAt = NOW - 60 * MS_PER_DAY
  const oven = (daysAgo: number, freshGrams: number, dryGrams: number) => ({
    ...{ checkedAt: NOW - daysAgo * MS_PER_DAY, by: 'oven' as const, freshGrams, dryGrams },
  })

  it('tells loss of water by what was measured at cutting', () => {
    // 1 g water a gram at cutting, 0.76 g now: 24 % of the water is gone.
    const moisture = [oven(59, 100, 50), oven(1, 88, 50)]
    const checks = latestChecks({ viability: [], moisture }, madeAt)
    expect(checks.moisture?.lostOfWater).toBeCloseTo(0.24, 9)
    expect(codesOf({ checks })).toContain('check.water_lost')
  })

  it('does not take a later measurement for one at cutting', () => {
    const checks = latestChecks(
      { viability: [], moisture: [oven(30, 100, 50), oven(1, 88, 50)] },
      madeAt,
    )
    expect(checks.moisture?.lostOfWater).toBeNull()
  })

  it('that cannot be counts for nothing', () => {
    const checks = latestChecks({ viability: [], moisture: [oven(1, 80, 90)] }, madeAt)
    expect(checks.moisture?.ofFresh).toBeNull()
    expect(codesOf({ checks }).filter((code) => code.startsWith('check.'))).toEqual([])
  })
})

it('wood of two origins is as good as the worse, and unchecked when one is', () => {
  const good = { ...none, buds: looked(98, 100, 3) }
  const poor = { ...none, buds: looked(60, 100, 1) }
  expect(worstChecks([good, poor]).buds).toEqual({ ...looked(60, 100, 3) })
  expect(worstChecks([good, none]).buds).toBeNull()
})

describe('air', () => {
  const weather = (hoursAgo: number, tempC: number, humidityPercent: number) => ({
    ...{ readAt: NOW - hoursAgo * MS_PER_HOUR, tempC, humidityPercent },
  })

  it('of the last day counts by its driest reading, as FAO-56 reckons it', () => {
    const air = dryingAirOf([weather(30, 40, 10), weather(5, 25, 50), weather(1, 12, 90)], NOW)
    expect(air?.vpdKPa).toBeCloseTo(1.584, 3)
    expect(dryingAirOf([weather(30, 40, 10), weather(-1, 40, 10)], NOW)).toBeNull()
  })

  it('shortens the hours out of water and never lengthens them', () => {
    const of = (vpdKPa: number) => outOfWaterLimits(policies, { readAt: NOW, vpdKPa }, NOW)
    expect(of(4.498)).toEqual({ cautionHours: 5.3, maxHours: 16, vpdKPa: 4.5 })
    expect(of(0.08)).toMatchObject({ cautionHours: 24, maxHours: 72 })
    expect(outOfWaterLimits(policies, null, NOW)).toMatchObject({ cautionHours: 24, vpdKPa: null })
  })

  it('as dry as that turns a morning out of water into a caution', () => {
    const soakEndedAt = NOW - 8 * MS_PER_HOUR
    const soaks = [{ bathId: 'b', beganAt: soakEndedAt - 36 * MS_PER_HOUR, endedAt: soakEndedAt }]
    const stays = [{ placeId: 'c', cooled: true, beganAt: 0, endedAt: soakEndedAt }]
    expect(codesOf({ soaks, stays })).not.toContain('soak.out_long')
    const dryingAir = { readAt: NOW, vpdKPa: 4.5 }
    expect(codesOf({ soaks, stays, dryingAir })).toContain('soak.out_long')
  })
})
