// What is taken from where: whole sticks only, each line once, and never silently more than known.
import { describe, expect, it } from 'vitest'
import { DEFAULT_POLICIES } from '../../../api/trade/policy-defaults.ts'
import { judge } from '../../../api/trade/judge.ts'
import type { PhonePlan, PhoneStock, Snapshot } from '../../../scanner/phone.ts'
import { judgeVine, planAt } from '../../../scanner/jobs/graft/judge-vine.ts'
import { METHODS, shownWords, SKIP_REASONS, typedWords } from '../../../scanner/jobs/said.ts'
import { SAID_EN } from '../../../scanner/jobs/said.en.ts'
import {
  isMore,
  keyOf,
  linesOf,
  recounted,
  unknownLine,
} from '../../../scanner/jobs/wood/basket.ts'
import type { Settings } from '../../../scanner/phone.ts'
import { speakerOf } from '../../../scanner/words/speaker.ts'
import { emptySnapshot } from '../../../scanner/no-snapshot.ts'
import { lotWith, uuid } from './invented.ts'

const me = uuid(9)
const stock = (
  kind: PhoneStock['account']['kind'],
  bundle: number | null,
  sticks: number,
  buds = 0,
): PhoneStock => ({
  account: { kind, id: kind === 'holder' ? me : uuid(11) },
  bundleId: bundle === null ? null : uuid(bundle),
  sticks,
  buds,
})
const anywhere = () => true

describe('the wood of a job', () => {
  const lot = lotWith([
    stock('place', 21, 25),
    stock('place', null, 10),
    stock('holder', 22, 20, -50),
    stock('bath', 23, 8),
    stock('supplier', null, -100),
  ])

  it('a bundle’s tag brings that bundle, a lot’s tag all that is at hand', () => {
    const one = linesOf(lot, { lotId: lot.lotId, bundleId: uuid(21) }, me, anywhere)
    expect(one.map(({ portion }) => [portion.bundleId, portion.sticks])).toEqual([[uuid(21), 25]])
    const all = linesOf(lot, { lotId: lot.lotId, bundleId: null }, me, anywhere)
    expect(all).toHaveLength(4)
    expect(new Set(all.map(keyOf)).size).toBe(4)
  })

  it('a job takes only from where it may, as out of a bath', () => {
    const wet = linesOf(
      lot,
      { lotId: lot.lotId, bundleId: null },
      me,
      ({ kind }) => kind === 'bath',
    )
    expect(wet.map(({ portion }) => portion.sticks)).toEqual([8])
  })

  it('sticks that were opened are not moved as whole ones', () => {
    const [opened] = linesOf(lot, { lotId: lot.lotId, bundleId: uuid(22) }, me, anywhere)
    // 50 buds set of sticks with 6: nine sticks are opened.
    expect(opened?.portion).toMatchObject({ sticks: 11, buds: 0 })
  })

  it('more than is known, or wood that is not known at all, calls for the plain warning', () => {
    const [line] = linesOf(lot, { lotId: lot.lotId, bundleId: uuid(21) }, me, anywhere)
    if (line === undefined) throw new Error('no line')
    expect(isMore(line.known, line.portion)).toBe(false)
    expect(isMore(line.known, recounted(line, { sticks: 26, buds: 0 }).portion)).toBe(true)
    expect(isMore(line.known, recounted(line, { sticks: 25, buds: 1 }).portion)).toBe(true)
    const counted = { sticks: 5, buds: 0 }
    const unknown = unknownLine(lotWith([]), { lotId: lot.lotId, bundleId: null }, me, counted)
    expect(isMore(unknown.known, unknown.portion)).toBe(true)
    expect(unknown.portion.from).toEqual({ kind: 'holder', id: me })
  })
})

describe('judging the wood for the vine in front', () => {
  const lot = lotWith([stock('holder', null, 10)])
  const rowId = uuid(50)
  const season = 2027
  const nowMs = Date.UTC(season, 3, 10)
  const wood = { lotId: lot.lotId, bundleId: null, from: { kind: 'holder' as const, id: me } }
  const plan = (from: number, to: number, varietyId: string): PhonePlan => ({
    rowId,
    fromPosition: from,
    toPosition: to,
    season,
    varietyId,
    varietyName: '',
    clone: null,
    className: null,
    method: null,
    budsPerVine: 2,
  })
  const plans = [plan(1, 30, lot.facts.varietyId), plan(31, 60, uuid(99))]
  const snapshot: Snapshot = {
    ...emptySnapshot,
    policies: DEFAULT_POLICIES,
    lot: () => lot,
    plans: () => plans,
    judgeWood: (asked, _, at) => {
      expect(asked).toEqual({ lotId: lot.lotId, bundleId: null, account: wood.from })
      return judge(lot.facts, DEFAULT_POLICIES, at)
    },
  }

  it('a row planned for two varieties stops the wood only in the stretch of the other', () => {
    const codes = (position: number) =>
      judgeVine(snapshot, wood, { rowId, position }, nowMs)?.reasons.map(({ code }) => code)
    expect(codes(30)).not.toContain('plan.variety')
    expect(codes(31)?.[0]).toBe('plan.variety')
    expect(judgeVine(snapshot, wood, { rowId, position: 31 }, nowMs)?.verdict).toBe('stop')
    expect(planAt(snapshot, rowId, 31, season)?.varietyId).toBe(uuid(99))
  })

  it('a hand that is empty by the records is no stop while the lot has wood left', () => {
    const none = { sticks: 0, buds: 0 }
    const judged = (left: { sticks: number; buds: number }) => {
      const known = { ...lot, facts: { ...lot.facts, left } }
      const inHand = { ...lot.facts, left: none }
      const phone: Snapshot = {
        ...snapshot,
        lot: () => known,
        judgeWood: (_, __, at) => judge(inHand, DEFAULT_POLICIES, at),
      }
      return judgeVine(phone, wood, { rowId, position: 1 }, nowMs)?.reasons.map(({ code }) => code)
    }
    expect(judged({ sticks: 3, buds: 0 })).not.toContain('stock.nothing_left')
    expect(judged(none)).toContain('stock.nothing_left')
  })

  it('a season that was not planned has no plan', () => {
    expect(planAt(snapshot, rowId, 31, season + 1)).toBeNull()
  })
})

describe('ready-made reasons', () => {
  const settings: Settings = {
    ...{ language: 'es', tempUnit: 'C', lengthUnit: 'mm', hand: 'right' },
    ...{ personId: null, knifeId: null },
  }

  it('are kept in one language and shown in the person’s, typed ones as they were typed', () => {
    const t = speakerOf(settings)
    expect(SKIP_REASONS).toContain('too thin')
    expect(shownWords('too thin', t)).toBe('demasiado delgada')
    expect(shownWords('roto por el tractor', t)).toBe('roto por el tractor')
    expect(METHODS.every((method) => shownWords(method, t) !== method)).toBe(true)
    expect(new Set(Object.values(SAID_EN)).size).toBe(Object.keys(SAID_EN).length)
  })

  it('what is typed is made fit for a record: one line, composed, trimmed', () => {
    expect(typedWords('  dan\u0303ado \n por  viento ')).toBe('da\u00f1ado por viento')
  })
})
