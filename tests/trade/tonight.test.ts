// Tonight's list: never more than there is, never held wood, and the soak within the policy.
import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { MS_PER_DAY, MS_PER_HOUR } from '#trade/intervals.ts'
import { judge } from '#trade/judge.ts'
import { policiesWith } from '#trade/policies.ts'
import { planTonight } from '#trade/tonight.ts'
import type { RowNeed, TonightQuestion, WoodAtHand } from '#trade/tonight.ts'
import { roomIn } from '#trade/tonight-baths.ts'
import { anyHold, NOW, soundLot } from './lot-facts-arbitrary.ts'

/** Overnight soaking: 8 to 14 hours, in by 18:00, out at 06:00. */
const overnight = policiesWith({ soakMinHours: { value: 8 }, soakMaxHours: { value: 14 } })
const evening = Date.UTC(2026, 2, 1, 18)
const morning = Date.UTC(2026, 2, 2, 6, 30)
const plan = {
  ...{ rowId: 'row-1', varietyId: 'variety-1', clone: '12', scheme: 'EU' },
  minimumClass: null,
}
const dry = { soaks: [], stays: [{ placeId: 'cold-1', cooled: true, beganAt: 0, endedAt: null }] }

function wood(key: string, changes: Partial<WoodAtHand> = {}): WoodAtHand {
  const facts = soundLot({ ...dry, lotId: key, tag: null, snapshotAt: null })
  return { key, facts, sticks: 100, budsPerStick: 5, inWaterSince: null, ageDays: 60, ...changes }
}

function need(vines: number, changes: Partial<RowNeed> = {}): RowNeed {
  return { rowId: 'row-1', vines, budsPerVine: 2, plan, ...changes }
}

function ask(changes: Partial<TonightQuestion>): TonightQuestion {
  return {
    ...{ now: NOW, readyAt: morning, intoWaterAt: evening, drainMinutes: 30 },
    ...{ overageShare: 0.1, useCautioned: false, needs: [need(90)], wood: [wood('a')] },
    tanks: [{ key: 'tank', litres: 400, sticksIn: 0 }],
    ...changes,
  }
}

describe('the list', () => {
  it('is in by 18:00, out by 06:00, and pulls no more sticks than the buds need', () => {
    const { times, lines, groups, problems } = planTonight(ask({}), overnight)
    expect(times).toEqual({
      intoWaterAt: evening,
      outOfWaterAt: Date.UTC(2026, 2, 2, 6),
      readyAt: morning,
      soakHours: 12,
    })
    // 90 vines × 2 buds = 180, with a tenth more 198, on sticks of 5 buds: 40 sticks.
    expect(groups).toMatchObject([{ budsToSet: 180, budsWanted: 198, budsFound: 200, shortage: 0 }])
    expect(lines).toMatchObject([{ woodKey: 'a', sticks: 40, buds: 200, tankKey: 'tank' }])
    expect(problems).toEqual([])
  })

  it('uses first what is oldest, and what lies in water before all', () => {
    const soaks = [{ bathId: 'b', beganAt: evening, endedAt: null }]
    const wet = { ...soundLot({ ...dry, tag: null, snapshotAt: null }), soaks }
    const { lines } = planTonight(
      ask({
        ...{ now: evening + MS_PER_HOUR, intoWaterAt: evening + MS_PER_HOUR },
        needs: [need(130)],
        wood: [
          wood('young', { sticks: 30, ageDays: 20 }),
          wood('old', { sticks: 30, ageDays: 90 }),
          wood('wet', { sticks: 10, ageDays: 1, facts: wet, inWaterSince: evening }),
        ],
      }),
      overnight,
    )
    expect(lines.map(({ woodKey, sticks, stays }) => [woodKey, sticks, stays])).toEqual([
      ['wet', 10, true],
      ['old', 30, false],
      ['young', 18, false],
    ])
  })

  it('passes over cautioned wood unless it is asked for, and then takes it last', () => {
    const facts = { ...wood('late').facts, cutAt: NOW - 200 * MS_PER_DAY }
    const late = wood('late', { facts, ageDays: 200, sticks: 50 })
    const question = ask({ wood: [late, wood('sound', { sticks: 20 })] })
    const without = planTonight(question, overnight)
    expect(without.lines.map(({ woodKey }) => woodKey)).toEqual(['sound'])
    expect(without.groups[0]?.shortage).toBe(80)
    const [passed] = without.passedOver
    expect(passed?.woodKey).toBe('late')
    expect(passed?.fit.reasons.map(({ code }) => code)).toContain('storage.long')
    const withIt = planTonight({ ...question, useCautioned: true }, overnight)
    expect(withIt.lines.map(({ woodKey, sticks }) => [woodKey, sticks])).toEqual([
      ['sound', 20],
      ['late', 20],
    ])
    expect(withIt.groups[0]?.shortage).toBe(0)
  })

  it('says that it is too late, and when wood put in now is ready', () => {
    const { times, lines, problems } = planTonight(
      ask({ readyAt: NOW + 5 * MS_PER_HOUR }),
      overnight,
    )
    expect(times).toBeNull()
    expect(lines).toEqual([])
    const soonestReadyAt = NOW + 8.5 * MS_PER_HOUR
    expect(problems).toEqual([{ code: 'too late', soonestReadyAt }])
  })

  it('moves a time that would soak too short or too long, and says so', () => {
    const late = planTonight(ask({ intoWaterAt: morning }), overnight)
    expect(late.times?.soakHours).toBe(8)
    expect(late.problems).toEqual([{ code: 'moved', wishedAt: morning }])
    const early = planTonight(ask({ intoWaterAt: NOW }), overnight)
    expect(early.times?.soakHours).toBe(14)
  })

  it('does not overfill a tank: what finds no room is told', () => {
    const tanks = [
      { key: 'small', litres: 10, sticksIn: 5 },
      { key: 'tiny', litres: 5, sticksIn: 0 },
    ]
    const { lines, problems } = planTonight(ask({ tanks }), overnight)
    expect(lines.map(({ tankKey, sticks }) => [tankKey, sticks])).toEqual([
      ['small', 15],
      ['tiny', 10],
      [null, 15],
    ])
    expect(problems).toEqual([{ code: 'tanks full', sticks: 15 }])
    expect(planTonight(ask({ tanks: [] }), overnight).problems).toEqual([{ code: 'no tank' }])
  })

  it('gives wood of one clone to the row that asks for it before one that takes any', () => {
    const any = need(90, { rowId: 'row-2', plan: { ...plan, rowId: 'row-2', clone: null } })
    const other = { ...wood('nine').facts, clone: '9' }
    const question = ask({
      needs: [any, need(90)],
      wood: [wood('twelve', { sticks: 40 }), wood('nine', { sticks: 40, facts: other })],
    })
    const { groups } = planTonight(question, overnight)
    expect(groups.map(({ shortage }) => shortage)).toEqual([0, 0])
  })
})

const anyWood = fc
  .record({
    sticks: fc.integer({ min: 0, max: 200 }),
    budsPerStick: fc.integer({ min: 0, max: 9 }),
    ageDays: fc.integer({ min: 0, max: 300 }),
    clone: fc.constantFrom('12', '9', null),
    varietyId: fc.constantFrom('variety-1', 'variety-2'),
    holds: fc.array(anyHold, { maxLength: 1 }),
    cutDaysAgo: fc.integer({ min: 1, max: 300 }),
    wetHours: fc.option(fc.integer({ min: 0, max: 30 })),
  })
  .map((made) => (key: string): WoodAtHand => {
    const inWaterSince = made.wetHours === null ? null : NOW - made.wetHours * MS_PER_HOUR
    const soaks =
      inWaterSince === null ? [] : [{ bathId: 'b', beganAt: inWaterSince, endedAt: null }]
    const { clone, varietyId, holds, sticks, budsPerStick, ageDays } = made
    const cutAt = NOW - made.cutDaysAgo * MS_PER_DAY
    const facts = { ...wood(key).facts, clone, varietyId, holds, cutAt, soaks }
    return { key, facts, sticks, budsPerStick, ageDays, inWaterSince }
  })

const anyQuestion = fc
  .record({
    wood: fc.array(anyWood, { maxLength: 12 }),
    needs: fc.array(
      fc.record({
        vines: fc.integer({ min: 0, max: 300 }),
        clone: fc.constantFrom('12', '9', null),
        varietyId: fc.constantFrom('variety-1', 'variety-2'),
      }),
      { maxLength: 4 },
    ),
    readyInHours: fc.integer({ min: 1, max: 60 }),
    intoInHours: fc.integer({ min: -5, max: 60 }),
    useCautioned: fc.boolean(),
    tanks: fc.array(
      fc.record({
        litres: fc.option(fc.integer({ min: 1, max: 100 })),
        sticksIn: fc.integer({ min: 0, max: 50 }),
      }),
      { maxLength: 3 },
    ),
  })
  .map((made): TonightQuestion =>
    ask({
      readyAt: NOW + made.readyInHours * MS_PER_HOUR,
      intoWaterAt: NOW + made.intoInHours * MS_PER_HOUR,
      useCautioned: made.useCautioned,
      wood: made.wood.map((of, nr) => of(`wood-${nr}`)),
      needs: made.needs.map(({ vines, clone, varietyId }, nr) =>
        need(vines, { rowId: `row-${nr}`, plan: { ...plan, clone, varietyId } }),
      ),
      tanks: made.tanks.map((tank, nr) => ({ ...tank, key: `tank-${nr}` })),
    }),
  )

describe('any list', () => {
  it('pulls whole sticks, never more than there are, never held wood (invariant 8)', () => {
    fc.assert(
      fc.property(anyQuestion, (question) => {
        const { lines } = planTonight(question, overnight)
        for (const piece of question.wood) {
          const pulled = lines.filter(({ woodKey }) => woodKey === piece.key)
          const sticks = pulled.reduce((sum, line) => sum + line.sticks, 0)
          expect(sticks).toBeLessThanOrEqual(piece.sticks)
          if (piece.facts.holds.length > 0) expect(pulled).toEqual([])
          for (const line of pulled) {
            expect(line.buds).toBe(line.sticks * piece.budsPerStick)
            expect(Number.isSafeInteger(line.sticks) && line.sticks > 0).toBe(true)
          }
        }
      }),
    )
  })

  it('keeps every soak within the policy, by the judgement of the morning itself', () => {
    fc.assert(
      fc.property(anyQuestion, (question) => {
        const { lines, times, outOfWaterAt } = planTonight(question, overnight)
        if (times !== null) {
          expect(times.soakHours).toBeGreaterThanOrEqual(8)
          expect(times.soakHours).toBeLessThanOrEqual(14)
          expect(times.intoWaterAt).toBeGreaterThanOrEqual(question.now)
        }
        for (const line of lines) {
          const piece = question.wood.find(({ key }) => key === line.woodKey)
          expect(piece).toBeDefined()
          if (piece === undefined) continue
          const beganAt = piece.inWaterSince ?? times?.intoWaterAt ?? Number.NaN
          const soaks = [{ bathId: 'b', beganAt, endedAt: outOfWaterAt }]
          const { reasons } = judge({ ...piece.facts, soaks }, overnight, question.readyAt)
          expect(reasons.map(({ code }) => code)).toContain('soak.right')
          expect(line.fit.use).not.toBe('no')
        }
      }),
    )
  })

  it('fills no tank beyond its room, and owns up to every bud it is short of', () => {
    fc.assert(
      fc.property(anyQuestion, (question) => {
        const { lines, groups } = planTonight(question, overnight)
        for (const tank of question.tanks) {
          const into = lines.filter(({ tankKey }) => tankKey === tank.key)
          const sticks = into.reduce((sum, line) => sum + line.sticks, 0)
          const room = roomIn(tank, overnight) ?? Number.POSITIVE_INFINITY
          expect(sticks).toBeLessThanOrEqual(room)
        }
        for (const group of groups) {
          const found = lines.filter(({ groupKey }) => groupKey === group.key)
          const buds = found.reduce((sum, line) => sum + line.buds, 0)
          expect(group.budsFound).toBe(buds)
          expect(group.shortage).toBe(Math.max(0, group.budsToSet - buds))
        }
      }),
    )
  })
})
