// The records show what is wrong about sources, until it is put right.
import { afterAll, beforeAll, describe } from 'vitest'
import { freshDatabase } from '../database.ts'
import type { TestDatabase } from '../database.ts'
import { itFinds } from '../journal/rule-cases.ts'
import { withdrawLast } from '../lots/small-season.ts'

let database: TestDatabase
beforeAll(async () => {
  database = await freshDatabase()
})
afterAll(() => database.drop())

describe('a source', () => {
  itFinds(
    () => database,
    [
      {
        code: 'source_unknown',
        when: 'a test tells of one that is not on the register',
        until: 'it is registered late',
        sound: (season) => season.test('source', '2027-01-05', 'detected'),
        wrong: (season) => season.test('elsewhere', '2027-01-05', 'not detected'),
        mend: (season) => void season.source('elsewhere'),
        facts: (season) => ({ source_id: season.id('elsewhere'), entries: 1 }),
      },
      {
        code: 'source_tested_positive_later',
        when: 'the block of a source vine tests positive after wood was cut',
        until: 'the test is withdrawn',
        sound: (season) => {
          season.source('vine', { level: 'vine', parentSourceId: season.id('source') })
          season.cut('lot', { sourceId: season.id('vine') })
          season.test('source', '2027-01-10', 'detected')
          season.test('source', '2027-03-01', 'not detected')
        },
        wrong: (season) => season.test('source', '2027-03-01', 'detected', 'viroids'),
        mend: withdrawLast,
        facts: (season) => ({ agent: 'viroids', lots: 1, examples: [season.id('lot')] }),
      },
      {
        code: 'source_tested_positive_later',
        when: 'wood cut before the positive sample comes in late',
        until: 'the vine it was cut from turns out to stand in another block',
        sound: (season) => {
          season.test('source', '2027-03-01', 'detected')
          season.source('vine', { level: 'vine', parentSourceId: season.id('source') })
        },
        wrong: (season) => void season.cut('lot', { sourceId: season.id('vine') }),
        mend: (season) => {
          season.source('other block')
          season.source('vine', { level: 'vine', parentSourceId: season.id('other block') })
        },
        facts: (season) => ({ source_id: season.id('source'), lots: 1 }),
      },
    ],
  )
})
