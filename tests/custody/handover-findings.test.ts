// The records show wood that was counted differently by the two sides, until it is put right.
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

function accept(season: SmallSeason, count: number): void {
  const handover = season.entries.findLast((entry) => entry.kind === 'wood.handed_over')
  if (handover === undefined) throw new Error('nothing was handed over')
  season.add('wood.accepted', {
    handoverId: handover.id,
    wood: { lotId: season.id('lot'), bundleId: null, unit: 'stick', count },
    note: '',
  })
}

describe('a handover', () => {
  itFinds(
    () => database,
    [
      {
        code: 'accepted_other_count',
        when: 'the other side counts fewer sticks',
        until: 'its count is withdrawn',
        sound: (season) => {
          season.cut('lot')
          season.handOver('lot', 10)
        },
        wrong: (season) => accept(season, 9),
        mend: withdrawLast,
        facts: () => ({ given: 10, accepted: 9, unit: 'stick', other_bundle: false }),
      },
      {
        code: 'accepted_other_count',
        when: 'the other side counts more sticks than were given',
        until: 'they count again and agree',
        sound: (season) => {
          season.cut('lot')
          season.handOver('lot', 10)
        },
        wrong: (season) => accept(season, 11),
        mend: (season) => accept(season, 10),
        facts: () => ({ given: 10, accepted: 11 }),
      },
    ],
  )
})
