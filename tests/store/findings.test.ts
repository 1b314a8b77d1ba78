// The records show what is wrong about baths and places, until it is put right.
import { afterAll, beforeAll, describe } from 'vitest'
import { freshDatabase } from '../database.ts'
import type { TestDatabase } from '../database.ts'
import { itFinds } from '../journal/rule-cases.ts'
import { withdrawLast } from '../lots/small-season.ts'
import type { SmallSeason } from '../lots/small-season.ts'

let database: TestDatabase
beforeAll(async () => {
  database = await freshDatabase()
})
afterAll(() => database.drop())

/** Empties 'bath', some minutes ago. */
const empty = (season: SmallSeason, minutesAgo = 0) =>
  season.add('bath.emptied', { bathId: season.id('bath') }, { minutesAgo })

/** A lot soaked and lifted again. */
const soaked = (season: SmallSeason) => {
  season.place('tank', { placeKind: 'tank' })
  season.bath('bath')
  season.cut('lot')
  season.soak('lot', 20, 'bath')
  season.liftOut('lot', 20, 'bath')
}

describe('a bath', () => {
  itFinds(
    () => database,
    [
      {
        code: 'bath_unknown',
        when: 'wood is put in a bath that nobody filled',
        until: 'the filling comes in late',
        sound: soaked,
        wrong: (season) => void season.soak('lot', 5, 'other bath'),
        mend: (season) => void season.bath('other bath'),
        facts: (season) => ({ bath_id: season.id('other bath'), entries: 1 }),
      },
      {
        code: 'bath_filled_twice',
        when: 'two entries fill one bath',
        until: 'one is withdrawn',
        sound: soaked,
        wrong: (season) => void season.bath('bath'),
        mend: withdrawLast,
        facts: () => ({ entries: 2 }),
      },
      {
        code: 'soak_without_end',
        when: 'a bath is emptied with wood in it',
        until: 'the lifting comes in late',
        sound: (season) => {
          soaked(season)
          season.soak('lot', 30, 'bath')
          season.liftOut('lot', 25, 'bath')
        },
        wrong: (season) => void empty(season),
        mend: (season) => void season.liftOut('lot', 5, 'bath'),
        facts: () => ({ bud_equivalents: 30 }),
      },
      {
        code: 'soaked_in_emptied_bath',
        when: 'wood is put in a bath after it was emptied',
        until: 'that is withdrawn',
        sound: (season) => {
          soaked(season)
          empty(season)
        },
        wrong: (season) => void season.soak('lot', 5, 'bath'),
        mend: withdrawLast,
        facts: (season) => ({ lot_id: season.id('lot') }),
      },
      {
        code: 'soaked_before_filled',
        when: 'wood is put in a bath an hour before it was filled',
        until: 'that is withdrawn',
        sound: soaked,
        wrong: (season) => {
          const wood = season.sticks('lot', 5)
          const from = { kind: 'place' as const, id: season.id('room') }
          season.add('soak.began', { wood, from, bathId: season.id('bath') }, { minutesAgo: 60 })
        },
        mend: withdrawLast,
        facts: (season) => ({ lot_id: season.id('lot') }),
      },
      {
        code: 'bath_emptied_before_filled',
        when: 'a bath ends an hour before it begins',
        until: 'that is withdrawn',
        sound: soaked,
        wrong: (season) => void empty(season, 24 * 60),
        mend: withdrawLast,
        facts: (season) => ({ bath_id: season.id('bath') }),
      },
      {
        code: 'soak_ended_not_begun',
        when: 'wood comes out that never went in',
        until: 'its going in comes late',
        sound: (season) => {
          soaked(season)
          season.cut('wet', { to: { kind: 'bath', id: season.id('bath') } })
          season.liftOut('wet', 100, 'bath')
          season.cut('other')
        },
        wrong: (season) => void season.liftOut('other', 5, 'bath'),
        mend: (season) => {
          const wood = season.sticks('other', 5)
          const from = { kind: 'place' as const, id: season.id('room') }
          season.add('soak.began', { wood, from, bathId: season.id('bath') }, { minutesAgo: 2 })
        },
        facts: (season) => ({ lot_id: season.id('other') }),
      },
      {
        code: 'soaked_in_held_bath',
        when: 'wood is put in while the bath is on hold',
        until: 'the hold is told to have been lifted before',
        sound: (season) => {
          soaked(season)
          season.hold('bath', 'bath')
        },
        wrong: (season) => {
          season.wait(1)
          season.soak('lot', 5, 'bath')
        },
        mend: (season) => {
          const holdId = season.id('hold on bath')
          const body = { holdId, reason: 'clean', secondPersonId: null }
          season.add('hold.lifted', body, { minutesAgo: 30 })
        },
        facts: () => ({ soaks: 1 }),
      },
    ],
  )
})

const looked = (season: SmallSeason, liveCount: number) =>
  void season.add('check.viability', {
    ...{ lotId: season.id('lot'), bundleId: null, used: null, note: '' },
    ...{ method: 'cut bud', sampledCount: 50, liveCount, forcedDays: null },
  })
const dried = (season: SmallSeason, dryGrams: number) =>
  void season.add('check.moisture', {
    ...{ lotId: season.id('lot'), bundleId: null, used: null, note: '' },
    measured: { by: 'oven', freshGrams: 80, dryGrams },
  })

describe('a check of wood', () => {
  itFinds(
    () => database,
    [
      {
        code: 'more_live_than_sampled',
        when: '60 of 50 buds are said to live',
        until: 'that is withdrawn',
        sound: (season) => {
          season.cut('lot')
          looked(season, 50)
        },
        wrong: (season) => looked(season, 60),
        mend: withdrawLast,
        facts: (season) => ({ lot_id: season.id('lot'), live: 60, sampled: 50 }),
      },
      {
        code: 'dried_to_more',
        when: 'a sample of 80 g weighs 90 g dry',
        until: 'that is withdrawn',
        sound: (season) => {
          season.cut('lot')
          dried(season, 44)
        },
        wrong: (season) => dried(season, 90),
        mend: withdrawLast,
        facts: (season) => ({ lot_id: season.id('lot'), checks: 1 }),
      },
    ],
  )
})

describe('a place', () => {
  itFinds(
    () => database,
    [
      {
        code: 'place_unknown',
        when: 'wood lies in a place that is not registered',
        until: 'it is registered late',
        sound: (season) => void season.cut('lot'),
        wrong: (season) => {
          const from = { kind: 'place' as const, id: season.id('room') }
          const wood = season.sticks('lot', 5)
          season.add('stay.began', { wood, from, placeId: season.id('elsewhere') })
        },
        mend: (season) => void season.place('elsewhere'),
        facts: (season) => ({ place_id: season.id('elsewhere'), entries: 1 }),
      },
    ],
  )
})
