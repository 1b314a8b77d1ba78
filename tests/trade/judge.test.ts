// The reasons that do not count time: holds, tags, plans, sources, stock and clocks.
import { describe, expect, it } from 'vitest'
import { MS_PER_DAY, MS_PER_HOUR, MS_PER_MINUTE } from '#trade/intervals.ts'
import { judge } from '#trade/judge.ts'
import type { KnownLotFacts, LotFacts, RowPlan, StandingHold } from '#trade/lot-facts.ts'
import { policiesWith } from '#trade/policies.ts'
import type { Policies } from '#trade/policies.ts'
import type { Reason, ReasonCode } from '#trade/reasons.ts'
import { NOW, soundLot } from './lot-facts-arbitrary.ts'

const DEFAULTS = policiesWith({})

function codesOf(lot: LotFacts, policies: Policies = DEFAULTS, now = NOW): ReasonCode[] {
  return judge(lot, policies, now).reasons.map((reason) => reason.code)
}

function reasonFor(lot: LotFacts, code: ReasonCode, policies = DEFAULTS): Reason {
  const found = judge(lot, policies, NOW).reasons.find((reason) => reason.code === code)
  if (found === undefined) throw new Error(`no reason ${code} was given`)
  return found
}

describe('a lot with nothing against it', () => {
  it('is ready, and says how long it was soaked', () => {
    const { verdict, reasons } = judge(soundLot(), DEFAULTS, NOW)
    expect(verdict).toBe('ready')
    expect(reasons).toEqual([
      {
        code: 'soak.right',
        verdict: 'ready',
        facts: { soakedMinutes: 36 * 60, maxHours: 48, inWater: 'no' },
        todo: 'nothing',
        policies: ['soakMinHours', 'soakMaxHours'],
      },
    ])
  })
})

describe('holds', () => {
  const hold: StandingHold = {
    holdId: 'hold-1',
    relation: 'lot',
    subjectId: 'lot-1',
    agentId: 'agent-1',
    route: 'water',
  }

  it.each([
    ['lot', 'hold.lot'],
    ['parent_lot', 'hold.parent_lot'],
    ['source', 'hold.source'],
    ['contact', 'hold.contact'],
  ] as const)('a hold by way of the %s stops the lot and is named', (relation, code) => {
    const lot = soundLot({ holds: [{ ...hold, relation }] })
    expect(judge(lot, DEFAULTS, NOW).verdict).toBe('stop')
    expect(reasonFor(lot, code).facts).toMatchObject({ holdId: 'hold-1', agentId: 'agent-1' })
  })

  it('a hold on a contact asks for caution where the nursery decided so', () => {
    const policies = policiesWith({ contactHoldStops: { value: false } })
    const lot = soundLot({ holds: [{ ...hold, relation: 'contact' }] })
    expect(judge(lot, policies, NOW).verdict).toBe('caution')
    expect(reasonFor(lot, 'hold.contact', policies).facts).toMatchObject({ route: 'water' })
  })

  it('each of several holds is listed', () => {
    const holds = [hold, { ...hold, holdId: 'hold-2', relation: 'source' as const }]
    expect(codesOf(soundLot({ holds }))).toEqual(['hold.lot', 'hold.source', 'soak.right'])
  })
})

describe('tag, lot and snapshot', () => {
  it('an unknown lot stops', () => {
    const lot: LotFacts = { known: false, tag: null, snapshotAt: null, code: '0A1B2C3D4EF' }
    expect(judge(lot, DEFAULTS, NOW).verdict).toBe('stop')
    expect(reasonFor(lot, 'lot.unknown').facts).toEqual({ code: '0A1B2C3D4EF' })
  })

  it.each([
    ['spoiled', 'tag.spoiled'],
    ['ended', 'tag.ended'],
  ] as const)('a %s tag stops', (state, code) => {
    const lot = soundLot({ tag: { code: 'X', state } })
    expect(reasonFor(lot, code).verdict).toBe('stop')
  })

  it('wood without a scanned tag is judged all the same', () => {
    expect(judge(soundLot({ tag: null }), DEFAULTS, NOW).verdict).toBe('ready')
  })

  // snapshotStaleHours: common practice, no source.
  it.each([
    ['just under', 24 * 60 - 1, false],
    ['at', 24 * 60, false],
    ['just over', 24 * 60 + 1, true],
  ])('a snapshot %s the limit of 24 h is judged rightly', (_where, minutes, stale) => {
    const lot = soundLot({ snapshotAt: NOW - minutes * MS_PER_MINUTE })
    expect(codesOf(lot).includes('snapshot.stale')).toBe(stale)
  })

  it('live records are never stale', () => {
    expect(codesOf(soundLot({ snapshotAt: null }))).toEqual(['soak.right'])
  })

  it('an unknown lot on a stale snapshot shows both', () => {
    const snapshotAt = NOW - 3 * MS_PER_DAY
    expect(codesOf({ known: false, tag: null, snapshotAt, code: null })).toEqual([
      'lot.unknown',
      'snapshot.stale',
    ])
  })
})

describe('the plan of the row', () => {
  const plan: RowPlan = {
    rowId: 'row-1',
    varietyId: 'variety-1',
    clone: '12',
    scheme: 'EU',
    minimumClass: 'certified',
  }
  const cases: [string, Partial<RowPlan> | null, Partial<KnownLotFacts>, ReasonCode | null][] = [
    ['no plan', null, {}, null],
    [
      'a plan that prescribes nothing',
      { varietyId: null, clone: null, minimumClass: null },
      {},
      null,
    ],
    ['the planned wood', {}, {}, null],
    ['another variety', {}, { varietyId: 'variety-2' }, 'plan.variety'],
    ['another clone', {}, { clone: '13' }, 'plan.clone'],
    ['an unrecorded clone', {}, { clone: null }, 'plan.clone_unknown'],
    // Order of classes: Directive 68/193/EEC, as in D.Lgs. 16/2021 art. 31.
    ['a stricter class', {}, { className: 'base' }, null],
    ['the strictest class', {}, { className: 'initial' }, null],
    ['a laxer class', {}, { className: 'standard' }, 'plan.class_below'],
    ['an unrecorded class', {}, { className: null }, 'plan.class_unknown'],
    ['a class off the ladder', {}, { className: 'odd' }, 'plan.class_not_comparable'],
    [
      'a class of another scheme',
      {},
      { scheme: 'generation', className: 'G1' },
      'plan.class_not_comparable',
    ],
    [
      'a class of like name in another scheme',
      {},
      { scheme: 'other', className: 'base' },
      'plan.class_not_comparable',
    ],
    [
      'the very class of a scheme without ladder',
      { scheme: 'own', minimumClass: 'A' },
      { scheme: 'own', className: 'A' },
      null,
    ],
    // Order of generations: OAR 603-051-0856.
    [
      'a later generation than asked for',
      { scheme: 'generation', minimumClass: 'G3' },
      { scheme: 'generation', className: 'G4' },
      'plan.class_below',
    ],
  ]

  it.each(cases)('%s is judged rightly', (_title, planned, changes, code) => {
    const lot = soundLot({ plan: planned === null ? null : { ...plan, ...planned }, ...changes })
    expect(codesOf(lot).filter((one) => one.startsWith('plan.'))).toEqual(code ? [code] : [])
  })

  it.each(['plan.variety', 'plan.clone', 'plan.class_below'] as const)('%s stops', (code) => {
    const wrong = { varietyId: 'variety-2', clone: '13', className: 'standard' }
    expect(reasonFor(soundLot({ plan, ...wrong }), code).verdict).toBe('stop')
  })
})

describe('the standing of sources', () => {
  const cutAt = NOW - 60 * MS_PER_DAY
  const good = { standing: 'good', fromAt: cutAt - 9 * MS_PER_DAY } as const
  const at = (standing: 'good' | 'suspended' | 'withdrawn', fromAt: number) => ({
    standing,
    fromAt,
  })

  it.each([
    ['good throughout', [good], [], 'ready'],
    [
      'suspended before the cut',
      [good, at('suspended', cutAt - 1)],
      ['source.suspended_at_cut'],
      'stop',
    ],
    [
      'suspended at the very cut',
      [good, at('suspended', cutAt)],
      ['source.suspended_at_cut'],
      'stop',
    ],
    [
      'suspended after the cut',
      [good, at('suspended', cutAt + 1)],
      ['source.suspended_later'],
      'caution',
    ],
    [
      'withdrawn before the cut',
      [good, at('withdrawn', cutAt - 1)],
      ['source.withdrawn_at_cut'],
      'stop',
    ],
    [
      'withdrawn after the cut',
      [good, at('withdrawn', cutAt + 1)],
      ['source.withdrawn_later'],
      'caution',
    ],
    [
      'suspended and restored before the cut',
      [at('suspended', cutAt - 2), at('good', cutAt - 1)],
      [],
      'ready',
    ],
    [
      'suspended after the cut and restored',
      [good, at('suspended', cutAt + 1), at('good', cutAt + 2)],
      [],
      'ready',
    ],
    ['without any record', [], ['source.standing_unknown'], 'caution'],
    [
      'registered only after the cut',
      [at('good', cutAt + 1)],
      ['source.standing_unknown'],
      'caution',
    ],
    [
      'good and suspended at one moment',
      [at('suspended', cutAt), at('good', cutAt)],
      ['source.suspended_at_cut'],
      'stop',
    ],
    ['to be suspended tomorrow', [good, at('suspended', NOW + MS_PER_DAY)], [], 'ready'],
  ] as const)('a source %s is judged rightly', (_title, standings, codes, verdict) => {
    const lot = soundLot({ cutAt, sources: [{ sourceId: 'source-1', standings }] })
    expect(codesOf(lot).filter((code) => code.startsWith('source.'))).toEqual(codes)
    expect(judge(lot, DEFAULTS, NOW).verdict).toBe(verdict)
  })

  it('without a cut date the standing at cutting is unknown', () => {
    const lot = soundLot({ cutAt: null })
    expect(codesOf(lot)).toContain('source.standing_unknown')
  })

  it('wood without origin, or with a part without origin, asks for caution', () => {
    expect(reasonFor(soundLot({ sources: [] }), 'source.unknown').facts).toEqual({
      knownSources: 0,
    })
    const partly = reasonFor(soundLot({ originUnknown: true }), 'source.unknown')
    expect(partly.facts).toEqual({ knownSources: 1 })
    expect(partly.verdict).toBe('caution')
  })
})

describe('stock', () => {
  it.each([
    ['one stick', { sticks: 1, buds: 0 }, []],
    ['one cut bud', { sticks: 0, buds: 1 }, []],
    ['nothing', { sticks: 0, buds: 0 }, ['stock.nothing_left']],
    ['less than nothing', { sticks: -1, buds: 0 }, ['stock.nothing_left', 'stock.negative']],
    ['sticks but less than no buds', { sticks: 4, buds: -2 }, ['stock.negative']],
    ['an unknown amount', null, ['stock.unknown']],
  ] as const)('%s left is judged rightly', (_title, left, codes) => {
    expect(codesOf(soundLot({ left })).filter((code) => code.startsWith('stock.'))).toEqual(codes)
  })
})

describe('clocks and broken facts', () => {
  // clockToleranceMinutes: common practice, no source.
  it.each([
    ['at', 5, false],
    ['just over', 6, true],
  ])('a time %s five minutes ahead is judged rightly', (_where, minutes, told) => {
    const snapshotAt = NOW + minutes * MS_PER_MINUTE
    expect(codesOf(soundLot({ snapshotAt })).includes('clock.disagrees')).toBe(told)
  })

  it('a soak that ends before it began is doubted and counts for nothing', () => {
    const soak = { bathId: 'b', beganAt: NOW - MS_PER_HOUR, endedAt: NOW - 90 * MS_PER_HOUR }
    const codes = codesOf(soundLot({ soaks: [soak] }))
    expect(codes).toContain('clock.disagrees')
    expect(codes).toContain('soak.too_short')
  })

  it.each([
    ['now', soundLot(), Number.NaN],
    ['cut', soundLot({ cutAt: Number.NaN }), NOW],
    ['snapshot', soundLot({ snapshotAt: Number.POSITIVE_INFINITY }), NOW],
    ['sticks left', soundLot({ left: { sticks: Number.NaN, buds: 0 } }), NOW],
  ])('a time or count that is no number is refused by name: %s', (what, lot, now) => {
    expect(() => judge(lot, DEFAULTS, now)).toThrow(`judge: ${what} is`)
  })
})
