// Sound lot facts to start tables from, and generated ones for properties.
import fc from 'fast-check'
import { MS_PER_DAY, MS_PER_HOUR } from '#trade/intervals.ts'
import { climateRulesOf } from '#trade/climate-policies.ts'
import { SUM_NAMES, sumsFrom } from '#trade/climate-sums.ts'
import type { KnownLotFacts, LotFacts, StandingHold } from '#trade/lot-facts.ts'
import { policiesWith } from '#trade/policies.ts'
import type { ThermalFacts } from '#trade/thermal-facts.ts'

/** Noon, 1 March 2026, UTC. */
export const NOW = Date.UTC(2026, 2, 1, 12)

/** A lot with nothing against it: cut 60 days ago, kept cold, soaked 36 h, drained an hour ago. */
export function soundLot(changes: Partial<KnownLotFacts> = {}): KnownLotFacts {
  const cutAt = NOW - 60 * MS_PER_DAY
  const soakEndedAt = NOW - MS_PER_HOUR
  const soakBeganAt = soakEndedAt - 36 * MS_PER_HOUR
  return {
    known: true,
    tag: { code: '0A1B2C3D4EF', state: 'bound' },
    snapshotAt: NOW - MS_PER_HOUR,
    lotId: 'lot-1',
    material: 'scion wood',
    varietyId: 'variety-1',
    clone: '12',
    scheme: 'EU',
    className: 'certified',
    cutAt,
    receivedAt: null,
    sources: [
      { sourceId: 'source-1', standings: [{ standing: 'good', fromAt: cutAt - MS_PER_DAY }] },
    ],
    originUnknown: false,
    holds: [],
    left: { sticks: 100, buds: 0 },
    stays: [{ placeId: 'cold-1', cooled: true, beganAt: cutAt, endedAt: soakBeganAt }],
    soaks: [{ bathId: 'bath-1', beganAt: soakBeganAt, endedAt: soakEndedAt }],
    plan: {
      rowId: 'row-1',
      varietyId: 'variety-1',
      clone: '12',
      scheme: 'EU',
      minimumClass: 'standard',
    },
    ...changes,
  }
}

const pastTime = fc.integer({ min: -800 * 24, max: 48 }).map((hours) => NOW + hours * MS_PER_HOUR)
const id = fc.constantFrom('a', 'b', 'c')
const span = fc.record({ beganAt: pastTime, endedAt: fc.option(pastTime) })

export const anyHold: fc.Arbitrary<StandingHold> = fc.record({
  holdId: fc.uuid(),
  relation: fc.constantFrom('lot', 'parent_lot', 'source', 'contact'),
  subjectId: id,
  agentId: fc.option(id),
  route: fc.option(fc.constantFrom('graft', 'blade', 'water')),
})

const anySource = fc.record({
  sourceId: id,
  standings: fc.array(
    fc.record({
      standing: fc.constantFrom('good' as const, 'suspended' as const, 'withdrawn' as const),
      fromAt: pastTime,
    }),
    { maxLength: 4 },
  ),
})

const anyTag = fc.option(
  fc.record({
    code: fc.string(),
    state: fc.constantFrom('bound' as const, 'spoiled' as const, 'ended' as const),
  }),
)

const anyTemp = fc.integer({ min: -250, max: 400 }).map((tenth) => tenth / 10)
const anyExcursion = fc.record({
  kind: fc.constantFrom('warm' as const, 'cold' as const),
  beganAt: pastTime,
  endedAt: pastTime,
  peakTempC: anyTemp,
  placeId: id,
})

const anyThermal: fc.Arbitrary<ThermalFacts> = fc.record({
  fromAt: pastTime,
  toAt: fc.constant(NOW),
  rules: fc.constant(climateRulesOf(policiesWith({}))),
  sums: fc
    .array(fc.double({ min: 0, max: 9000, noNaN: true }), {
      minLength: SUM_NAMES.length,
      maxLength: SUM_NAMES.length,
    })
    .map(sumsFrom),
  lowestTempC: fc.option(anyTemp),
  highestTempC: fc.option(anyTemp),
  excursionCount: fc.nat({ max: 9 }),
  largest: fc.option(anyExcursion),
  now: fc.option(
    fc.record({
      placeId: id,
      readAt: pastTime,
      tempC: anyTemp,
      humidityPercent: fc.option(fc.integer({ min: 0, max: 100 })),
      meanOfDayC: anyTemp,
    }),
  ),
})

export const anyKnownLot: fc.Arbitrary<KnownLotFacts> = fc.record({
  known: fc.constant(true as const),
  tag: anyTag,
  snapshotAt: fc.option(pastTime),
  lotId: id,
  material: fc.constantFrom(
    'scion wood' as const,
    'rootstock wood' as const,
    'grafted vine' as const,
    'rooted vine' as const,
    'potted vine' as const,
  ),
  varietyId: id,
  clone: fc.option(id),
  scheme: fc.option(fc.constantFrom('EU', 'generation', 'other')),
  className: fc.option(fc.constantFrom('initial', 'certified', 'standard', 'G2', 'odd')),
  cutAt: fc.option(pastTime),
  receivedAt: fc.option(pastTime),
  sources: fc.array(anySource, { maxLength: 3 }),
  originUnknown: fc.boolean(),
  holds: fc.array(anyHold, { maxLength: 3 }),
  left: fc.option(
    fc.record({
      sticks: fc.integer({ min: -5, max: 50 }),
      buds: fc.integer({ min: -5, max: 50 }),
    }),
  ),
  stays: fc.array(
    span.chain((part) => fc.boolean().map((cooled) => ({ ...part, cooled, placeId: 'p' }))),
    { maxLength: 4 },
  ),
  soaks: fc.array(
    span.map((part) => ({ ...part, bathId: 'b' })),
    { maxLength: 4 },
  ),
  thermal: fc.option(anyThermal, { nil: null }),
  plan: fc.option(
    fc.record({
      rowId: id,
      varietyId: fc.option(id),
      clone: fc.option(id),
      scheme: fc.option(fc.constantFrom('EU', 'generation')),
      minimumClass: fc.option(fc.constantFrom('initial', 'certified', 'standard', 'G3')),
    }),
  ),
})

export const anyLot: fc.Arbitrary<LotFacts> = fc.oneof(
  { weight: 9, arbitrary: anyKnownLot },
  {
    weight: 1,
    arbitrary: fc.record({
      known: fc.constant(false as const),
      tag: anyTag,
      snapshotAt: fc.option(pastTime),
      code: fc.option(fc.string()),
    }),
  },
)
