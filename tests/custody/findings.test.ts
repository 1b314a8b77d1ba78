// The records show wood used while it was on hold, and strange liftings, until put right.
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

const lift = (season: SmallSeason, name: string, minutesAgo: number) => {
  const body = { holdId: season.id(name), reason: 'retested', secondPersonId: null }
  return season.add('hold.lifted', body, { minutesAgo })
}

describe('a hold', () => {
  itFinds(
    () => database,
    [
      {
        code: 'used_on_hold',
        when: 'wood is grafted, given out and soaked while its lot is on hold',
        until: 'the lifting, before all of it, comes in late',
        sound: (season) => {
          season.cut('lot')
          season.handOver('lot', 10)
          season.graft('lot', 1)
          season.hold('lot', 'lot')
        },
        wrong: (season) => {
          season.wait(2)
          season.handOver('lot', 10)
          season.soak('lot', 10, 'bath')
          season.graft('lot', 2)
          season.graft('lot', 3)
        },
        mend: (season) => void lift(season, 'hold on lot', 60),
        facts: () => ({ cuts: 0, hand_overs: 1, soaks: 1, grafts: 2 }),
      },
      {
        code: 'used_on_hold',
        when: 'a lot is cut and grafted while the block its source stands in is on hold',
        until: 'the hold is withdrawn',
        sound: (season) => void season.source('vine', inBlock(season)),
        wrong: (season) => {
          season.cut('lot', { sourceId: season.id('vine') })
          season.graft('lot', 1)
          holdBefore(season, 'source', 'source')
        },
        mend: withdrawLast,
        facts: (season) => ({ on_kind: 'source', on_id: season.id('source'), cuts: 1, grafts: 1 }),
      },
      {
        code: 'used_on_hold',
        when: 'a split comes in late that ties a used part to a lot on hold',
        until: 'the split is withdrawn',
        sound: (season) => {
          season.cut('lot')
          season.hold('lot', 'lot')
          season.graft('part', 1)
        },
        wrong: (season) => void season.split('lot', 'part'),
        mend: withdrawLast,
        facts: (season) => ({ lot_id: season.id('part'), on_id: season.id('lot'), grafts: 1 }),
      },
      {
        code: 'used_on_hold',
        when: 'a graft on a vine makes that vine, a source, come of a lot on hold',
        until: 'the graft is withdrawn',
        sound: (season) => {
          season.row('row')
          season.cut('held')
          season.source('vine', { vine: { rowId: season.id('row'), position: 4 } })
          season.hold('lot', 'held')
          season.cut('lot', { sourceId: season.id('vine') })
        },
        wrong: (season) => void season.graft('held', 4, {}, 60),
        mend: withdrawLast,
        facts: (season) => ({ lot_id: season.id('lot'), on_id: season.id('held'), cuts: 1 }),
      },
      {
        code: 'hold_unknown',
        when: 'it is lifted but was never placed',
        until: 'the placing comes in late',
        sound: (season) => {
          season.cut('lot')
          season.hold('lot', 'lot')
          lift(season, 'hold on lot', 0)
        },
        wrong: (season) => void lift(season, 'hold on source', 0),
        mend: (season) => void season.hold('source', 'source'),
        facts: (season) => ({ hold_id: season.id('hold on source') }),
      },
    ],
  )
})

const inBlock = (season: SmallSeason) => ({
  level: 'vine' as const,
  parentSourceId: season.id('source'),
})

/** A hold placed an hour ago. */
function holdBefore(season: SmallSeason, kind: 'lot' | 'source', name: string): void {
  const on = { kind, id: season.id(name) }
  const body = { holdId: season.id(`hold on ${name}`), on, agent: null, reason: 'doubt' }
  season.add('hold.placed', body, { minutesAgo: 60 })
}
