// The records show what is wrong about lots, and no more once it is put right.
import { afterAll, beforeAll, describe } from 'vitest'
import { freshDatabase } from '../database.ts'
import type { TestDatabase } from '../database.ts'
import { itFinds } from '../journal/rule-cases.ts'
import { withdrawLast } from './small-season.ts'
import type { SmallSeason } from './small-season.ts'

let database: TestDatabase
beforeAll(async () => {
  database = await freshDatabase()
})
afterAll(() => database.drop())

describe('what a lot is made of and holds', () => {
  itFinds(
    () => database,
    [
      {
        code: 'lot_unknown',
        when: 'entries use a lot that none made',
        until: 'the entry that made it comes in late',
        sound: (season) => void season.cut('lot'),
        wrong: (season) => void season.graft('other', 1),
        mend: (season) => void season.cut('other'),
        facts: (season) => ({ lot_id: season.id('other'), entries: 1 }),
      },
      {
        code: 'lot_made_twice',
        when: 'two entries make one lot',
        until: 'one of them is withdrawn',
        sound: (season) => void season.cut('lot'),
        wrong: (season) => void season.cut('lot', { reference: 'made again' }),
        mend: withdrawLast,
        facts: () => ({ entries: 2, references: ['lot', 'made again'] }),
      },
      {
        code: 'reference_taken',
        when: 'two lots have one reference',
        until: 'one of them is withdrawn',
        sound: (season) => void season.cut('lot', { reference: '27-taken' }),
        wrong: (season) => void season.cut('other', { reference: '27-taken' }),
        mend: withdrawLast,
        facts: (season) => ({
          reference: '27-taken',
          lots: [season.id('lot'), season.id('other')].sort(),
        }),
      },
      {
        code: 'more_than_there_was',
        when: 'a hand sets more buds than the sticks it was given bear',
        until: 'the handover comes in late',
        sound: (season) => {
          season.cut('lot')
          season.handOver('lot', 1)
          for (const position of [1, 2, 3]) season.graft('lot', position)
        },
        wrong: (season) => void season.graft('lot', 4),
        mend: (season) => void season.handOver('lot', 1),
        facts: (season) => ({ account_id: season.id('crew'), bud_equivalents: -2 }),
      },
      {
        code: 'more_buds_set_than_cut',
        when: 'more buds stand on vines than the lot had, less what was split off',
        until: 'the split is withdrawn',
        sound: (season) => {
          season.cut('lot', { sticks: 11 })
          for (let nr = 1; nr <= 33; nr += 1) season.graft('lot', nr)
        },
        wrong: (season) => void season.split('lot', 'part'),
        mend: withdrawLast,
        facts: () => ({ buds_set: 66, bud_equivalents: 6 }),
      },
      {
        code: 'bundle_unknown',
        when: 'wood of a bundle is used that was tied from another lot',
        until: 'that is withdrawn',
        sound: (season) => {
          const bundle = { bundleId: season.id('bundle'), unit: 'stick' as const, count: 20 }
          season.cut('lot', { bundles: [bundle] })
          season.cut('other')
          season.handOver('lot', 20, 'bundle')
        },
        wrong: (season) => void season.handOver('other', 1, 'bundle'),
        mend: withdrawLast,
        facts: (season) => ({ bundle_id: season.id('bundle'), entries: 1 }),
      },
      {
        code: 'used_before_made',
        when: 'a lot is used a day before it was made',
        until: 'the use is withdrawn',
        sound: (season) => {
          season.cut('lot')
          season.add('wood.discarded', discard(season), { minutesAgo: 3 })
        },
        wrong: (season) => {
          season.add('wood.discarded', discard(season), { minutesAgo: 60 * 24 })
        },
        mend: withdrawLast,
        facts: (season) => ({ lot_id: season.id('lot') }),
      },
      {
        code: 'used_before_made',
        when: 'its soak began a day before it was cut',
        until: 'that is withdrawn',
        sound: (season) => {
          season.place('tank', { placeKind: 'tank' })
          season.bath('bath')
          season.wait(48)
          season.cut('lot')
        },
        wrong: (season) => void soak(season, 60 * 24),
        mend: withdrawLast,
        facts: (season) => ({ lot_id: season.id('lot') }),
      },
      {
        code: 'left_before_it_came',
        when: 'its stays overlap: it left a second room a day before it came there',
        until: 'that is withdrawn',
        sound: (season) => {
          season.cut('lot')
          season.wait(72)
          stay(season, 'room', 'second room')
        },
        wrong: (season) => void stay(season, 'second room', 'third room', 60 * 24),
        mend: withdrawLast,
        facts: (season) => ({
          ...{ lot_id: season.id('lot'), place_id: season.id('second room') },
          bud_equivalents: 240,
        }),
      },
    ],
  )
})

function soak(season: SmallSeason, minutesAgo: number) {
  const from = { kind: 'place' as const, id: season.id('room') }
  const body = { wood: season.sticks('lot', 40), from, bathId: season.id('bath') }
  return season.add('soak.began', body, { minutesAgo })
}

/** 40 sticks of six buds go from one place into another, told so many minutes too early. */
function stay(season: SmallSeason, from: string, to: string, minutesAgo = 0) {
  return season.add(
    'stay.began',
    {
      wood: season.sticks('lot', 40),
      from: { kind: 'place', id: season.id(from) },
      placeId: season.id(to),
    },
    { minutesAgo },
  )
}

const discard = (season: SmallSeason) => ({
  wood: season.sticks('lot', 1),
  from: { kind: 'place' as const, id: season.id('room') },
  reason: 'mould',
})

describe('what a lot came of', () => {
  itFinds(
    () => database,
    [
      {
        code: 'cut_differs_from_source',
        when: 'a lot is of another clone than its source',
        until: 'the source is registered again as what it is',
        sound: (season) => void season.cut('unstated', { clone: null }),
        wrong: (season) => void season.cut('lot', { clone: '7' }),
        mend: (season) => void season.source('source', { clone: '7' }),
        facts: () => ({ differs: [{ what: 'clone', here: '7', there: '12' }] }),
      },
      {
        code: 'split_differs_from_parent',
        when: 'a part is of another class than its lot',
        until: 'the split is withdrawn',
        sound: (season) => {
          season.cut('lot')
          season.split('lot', 'part')
        },
        wrong: (season) => void season.split('lot', 'other part', { class: 'base' }),
        mend: withdrawLast,
        facts: () => ({ differs: [{ what: 'class', here: 'base', there: 'certified' }] }),
      },
      {
        code: 'combined_differs_from_parent',
        when: 'wood of another variety is combined',
        until: 'the lot is withdrawn and turns out to have been of the same',
        sound: (season) => {
          season.cut('lot')
          season.cut('other')
          season.cut('strange', { varietyId: season.id('another variety') })
          season.combine('both', ['lot', 'other'])
        },
        wrong: (season) => void season.combine('mixed', ['lot', 'strange']),
        mend: (season) => {
          const strange = season.entries.find(
            ({ kind, body }) => kind === 'lot.cut' && body.lotId === season.id('strange'),
          )
          if (strange !== undefined) season.withdraw(strange)
          season.cut('strange')
        },
        facts: (season) => ({ parent_lot_id: season.id('strange') }),
      },
      {
        code: 'lot_in_circle',
        when: 'a lot is combined out of itself and another',
        until: 'that is withdrawn',
        sound: (season) => {
          season.cut('lot')
          season.cut('other')
        },
        wrong: (season) => void season.combine('lot', ['lot', 'other']),
        mend: withdrawLast,
        facts: (season) => ({ parents: [season.id('lot'), season.id('other')].sort() }),
      },
      {
        code: 'lot_of_unknown_source',
        when: 'the source of a lot is not on the register',
        until: 'it is registered late',
        sound: (season) => void season.cut('lot'),
        wrong: (season) => void season.cut('other', { sourceId: season.id('elsewhere') }),
        mend: (season) => void season.source('elsewhere'),
        facts: (season) => ({ source_id: season.id('elsewhere') }),
      },
      {
        code: 'source_not_good_at_cut',
        when: 'the block of the source vine was suspended on the day of the cut',
        until: 'that standing is withdrawn',
        sound: (season) => {
          season.source('vine', { level: 'vine', parentSourceId: season.id('source') })
          season.cut('lot', { sourceId: season.id('vine') })
          season.standing('source', 'suspended', '2027-01-11')
        },
        wrong: (season) => season.standing('source', 'suspended', '2027-01-10'),
        mend: withdrawLast,
        facts: (season) => ({ source_id: season.id('source'), since: '2027-01-10' }),
      },
      {
        code: 'cut_from_positive_source',
        when: 'the last test before the cut had found an agent',
        until: 'a later sample, still before the cut, is told to have been clean',
        sound: (season) => {
          season.cut('lot')
          season.test('source', '2027-01-11', 'detected')
          season.test('source', '2027-01-02', 'not detected')
        },
        wrong: (season) => season.test('source', '2027-01-05', 'detected'),
        mend: (season) => season.test('source', '2027-01-06', 'not detected'),
        facts: () => ({ agent: 'GLRaV-3', sampled_on: '2027-01-05' }),
      },
    ],
  )
})
