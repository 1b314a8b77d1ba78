// The records show what is wrong about tags, until it is put right (invariant 5).
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

const bind = (season: SmallSeason, code: string, lot: string, minutesAgo = 0) =>
  season.add('tag.bound', { code, thing: { kind: 'lot', id: season.id(lot) } }, { minutesAgo })

const print = (season: SmallSeason, ...codes: string[]) =>
  season.add('tag.printed', {
    printId: season.id('print'),
    payload: 'field tag',
    form: 'field tag 20',
    codes,
    reprintReason: null,
  })

/** A lot with a tag of our own print. */
const tagged = (code: string) => (season: SmallSeason) => {
  season.cut('lot')
  season.cut('other')
  print(season, code)
  bind(season, code, 'lot')
  bind(season, code, 'lot')
}

describe('a tag', () => {
  itFinds(
    () => database,
    [
      {
        code: 'tag_on_two_things',
        when: 'it is bound to a second thing',
        until: 'that binding is withdrawn',
        sound: tagged('AAAAAAAAA01'),
        wrong: (season) => void bind(season, 'AAAAAAAAA01', 'other'),
        mend: withdrawLast,
        facts: (season) => ({
          code: 'AAAAAAAAA01',
          things: [
            { kind: 'lot', id: season.id('lot') },
            { kind: 'lot', id: season.id('other') },
          ],
        }),
      },
      {
        code: 'tag_used_after_end',
        when: 'it is told to have been spoiled before it was bound',
        until: 'that is withdrawn',
        sound: (season) => {
          tagged('AAAAAAAAA02')(season)
          season.add('tag.spoiled', { code: 'AAAAAAAAA02', reason: 'torn' })
        },
        wrong: (season) => {
          const body = { code: 'AAAAAAAAA02', reason: 'torn' }
          season.add('tag.spoiled', body, { minutesAgo: 600 })
        },
        mend: withdrawLast,
        facts: () => ({ how: 'spoiled' }),
      },
      {
        code: 'tag_not_ours',
        when: 'it is bound but was never printed',
        until: 'the print comes in late',
        sound: tagged('AAAAAAAAA03'),
        wrong: (season) => void bind(season, 'AAAAAAAAA04', 'other'),
        mend: (season) => void print(season, 'AAAAAAAAA04'),
        facts: () => ({ code: 'AAAAAAAAA04', bindings: 1 }),
      },
      {
        code: 'thing_of_tag_unknown',
        when: 'it is bound to a bundle that nobody tied',
        until: 'the lot with the bundle comes in late',
        sound: tagged('AAAAAAAAA05'),
        wrong: (season) => {
          print(season, 'AAAAAAAAA06')
          const thing = { kind: 'bundle' as const, id: season.id('bundle') }
          season.add('tag.bound', { code: 'AAAAAAAAA06', thing })
        },
        mend: (season) => {
          const bundle = { bundleId: season.id('bundle'), unit: 'stick' as const, count: 20 }
          season.cut('third', { bundles: [bundle] })
        },
        facts: (season) => ({ kind: 'bundle', id: season.id('bundle') }),
      },
      {
        code: 'thing_of_tag_unknown',
        when: 'it is bound to a row that is not laid out',
        until: 'the layout comes in late',
        sound: tagged('AAAAAAAAA07'),
        wrong: (season) => {
          print(season, 'AAAAAAAAA08')
          const thing = { kind: 'row' as const, id: season.id('row') }
          season.add('tag.bound', { code: 'AAAAAAAAA08', thing })
        },
        mend: (season) => void season.row('row'),
        facts: () => ({ kind: 'row' }),
      },
    ],
  )
})
