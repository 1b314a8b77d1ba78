// The judgement by readings: aged, frozen, about to swell, fallen silent, or not known.
import { describe, expect, it } from 'vitest'
import { climateRulesOf } from '#trade/climate-policies.ts'
import { NO_SUMS } from '#trade/climate-sums.ts'
import type { ClimateSums } from '#trade/climate-sums.ts'
import { MS_PER_DAY, MS_PER_HOUR } from '#trade/intervals.ts'
import { judge } from '#trade/judge.ts'
import { reasonInEnglish } from '#trade/judge-words.en.ts'
import { judgeThermal } from '#trade/judge-thermal.ts'
import type { KnownLotFacts } from '#trade/lot-facts.ts'
import { policiesWith } from '#trade/policies.ts'
import { thermalAgeDays } from '#trade/thermal-facts.ts'
import type { ThermalFacts } from '#trade/thermal-facts.ts'
import { NOW, soundLot } from './lot-facts-arbitrary.ts'

const policies = policiesWith({})
const rules = climateRulesOf(policies)
const fromAt = NOW - 60 * MS_PER_DAY

/** Sixty days in a room with readings all the time, at the set temperature. */
function thermal(
  sums: Partial<ClimateSums> = {},
  changes: Partial<ThermalFacts> = {},
): ThermalFacts {
  return {
    fromAt,
    toAt: NOW,
    rules,
    sums: { ...NO_SUMS, measuredHours: 60 * 24, equivalentDays: 60, ...sums },
    lowestTempC: 0.5,
    highestTempC: 1.5,
    excursionCount: 0,
    largest: null,
    now: {
      ...{ placeId: 'cold-1', readAt: NOW - MS_PER_HOUR, tempC: 1, humidityPercent: 90 },
      meanOfDayC: 1,
    },
    ...changes,
  }
}

function codes(facts: KnownLotFacts['thermal'], now = NOW): string[] {
  const lot = soundLot(facts === undefined ? {} : { thermal: facts })
  return judgeThermal(lot, policies, now).map((reason) => `${reason.verdict} ${reason.code}`)
}

describe('wood with readings', () => {
  it('kept at the set temperature ages as the calendar runs, and gives no reason', () => {
    expect(thermalAgeDays(thermal(), NOW)).toBeCloseTo(60, 9)
    expect(codes(thermal())).toEqual([])
    expect(judge(soundLot({ thermal: thermal() }), policies, NOW).verdict).toBe('ready')
  })

  it('kept warm reaches caution and stop by its age, long before the calendar does', () => {
    expect(codes(thermal({ equivalentDays: 182 }))).toEqual([])
    expect(codes(thermal({ equivalentDays: 182.1 }))).toEqual(['caution storage.ageing'])
    expect(codes(thermal({ equivalentDays: 243.2 }))).toEqual(['stop storage.aged'])
    const [reason] = judgeThermal(
      soundLot({ thermal: thermal({ equivalentDays: 250 }) }),
      policies,
      NOW,
    )
    expect(reason === undefined ? '' : reasonInEnglish(reason).sentence).toBe(
      'Stored too warm: in 60 days it aged like 250 days at 1 °C; the limit is 243.',
    )
    expect(reason?.policies).toEqual(['storageSetTempC', 'thermalQ10', 'storageStopDays'])
  })

  it('ages on by the calendar after the readings that a snapshot holds', () => {
    const facts = thermal({ equivalentDays: 180 })
    expect(thermalAgeDays(facts, NOW + 5 * MS_PER_DAY)).toBeCloseTo(185, 9)
    expect(codes(facts, NOW + 5 * MS_PER_DAY)).toContain('caution storage.ageing')
  })

  it('that froze is stopped; that had frost is to be checked', () => {
    expect(codes(thermal({}, { lowestTempC: -5 }))).toEqual([])
    expect(codes(thermal({}, { lowestTempC: -5.1 }))).toEqual(['caution storage.frost'])
    expect(codes(thermal({}, { lowestTempC: -10.6 }))).toEqual(['caution storage.frost'])
    expect(codes(thermal({}, { lowestTempC: -10.7 }))).toEqual(['stop storage.frozen'])
  })

  it('whose buds may be swelling, or that lay above the waking limit, is to be checked', () => {
    expect(codes(thermal({ swellDegreeDays: 40 }))).toEqual([])
    expect(codes(thermal({ swellDegreeDays: 40.2 }))).toEqual(['caution storage.swelling'])
    expect(codes(thermal({ aboveWakingHours: 24 }))).toEqual([])
    expect(codes(thermal({ aboveWakingHours: 24.1 }))).toEqual(['caution storage.warm'])
  })

  it('in a room whose logger fell silent says so', () => {
    const now = { placeId: 'cold-1', tempC: 1, humidityPercent: null, meanOfDayC: 1 }
    const silent = (hours: number) => ({ now: { ...now, readAt: NOW - hours * MS_PER_HOUR } })
    expect(codes(thermal({}, silent(24)))).toEqual([])
    expect(codes(thermal({}, silent(25)))).toEqual(['caution storage.readings_stopped'])
  })
})

describe('wood without readings', () => {
  it('is counted by the calendar, and the judgement says so without changing the verdict', () => {
    expect(codes(null)).toEqual(['ready storage.no_readings'])
    expect(codes(thermal({ measuredHours: 0 }))).toEqual(['ready storage.no_readings'])
    expect(judge(soundLot({ thermal: null }), policies, NOW).verdict).toBe('ready')
    const old = judge(soundLot({ thermal: null, cutAt: NOW - 250 * MS_PER_DAY }), policies, NOW)
    expect(old.reasons.map(({ code }) => code)).toContain('storage.too_long')
  })

  it('for a part of its time says for how long, and counts that part by the calendar', () => {
    const part = thermal({ measuredHours: 50 * 24, equivalentDays: 50 })
    expect(thermalAgeDays(part, NOW)).toBeCloseTo(60, 9)
    const [reason] = judgeThermal(soundLot({ thermal: part }), policies, NOW)
    expect(reason).toMatchObject({ facts: { unmeasuredMinutes: 10 * 24 * 60 } })
  })

  it('is not judged here when the snapshot comes from an older server', () => {
    expect(codes(undefined)).toEqual([])
  })
})

describe('readings never make a judgement milder', () => {
  it('the calendar still stops wood that was kept colder than the set temperature', () => {
    const cutAt = NOW - 250 * MS_PER_DAY
    const facts = thermal({ measuredHours: 250 * 24, equivalentDays: 200 }, { fromAt: cutAt })
    const judged = judge(soundLot({ cutAt, thermal: facts }), policies, NOW)
    expect(judged.verdict).toBe('stop')
  })

  it('vines are not aged by what holds for wood, and potted vines not judged at all', () => {
    const facts = thermal({ equivalentDays: 300 }, { lowestTempC: -12 })
    const judged = (material: KnownLotFacts['material']) =>
      judgeThermal(soundLot({ material, thermal: facts }), policies, NOW).map(({ code }) => code)
    expect(judged('grafted vine')).toEqual(['storage.frozen'])
    expect(judged('potted vine')).toEqual([])
  })
})
