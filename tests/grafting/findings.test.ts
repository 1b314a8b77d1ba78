// The records show what is wrong about grafts, take checks and removals, until it is put right.
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

const check = (season: SmallSeason, graftId: string, position: number, growing: number) =>
  season.add('take.checked', {
    vine: { rowId: season.id('row'), position },
    results: [{ graftId, growing, callused: 0, failed: 0 }],
    shootLengthMm: null,
    note: '',
  })

/** A graft of two buds on position 1 of 'row', and its id. */
const grafted = (season: SmallSeason): void => {
  season.row('row')
  season.cut('lot')
  season.graft('lot', 1)
  check(season, graftOf(season), 1, 2)
}

const graftOf = (season: SmallSeason): string =>
  season.entries.find(({ kind }) => kind === 'graft.made')?.id ?? ''

/** A graft that another device has made and not sent yet. */
const unsent = new WeakMap<SmallSeason, SmallSeason['entries'][number]>()
function makeUnsent(season: SmallSeason): string {
  const graft = season.graft('lot', 5)
  unsent.set(season, season.entries.pop() ?? graft)
  return graft.id
}
function sendUnsent(season: SmallSeason): void {
  const graft = unsent.get(season)
  if (graft !== undefined) season.entries.push(graft)
}

describe('a take check', () => {
  itFinds(
    () => database,
    [
      {
        code: 'graft_of_take_unknown',
        when: 'it names a graft that has not come in',
        until: 'the graft comes in late',
        sound: grafted,
        wrong: (season) => void check(season, makeUnsent(season), 5, 1),
        mend: sendUnsent,
        facts: () => ({ checks: 1, withdrawn: false }),
      },
      {
        code: 'graft_of_take_unknown',
        when: 'its graft is withdrawn',
        until: 'the check is withdrawn as well',
        sound: grafted,
        wrong: (season) => {
          const graft = season.entries.find(({ kind }) => kind === 'graft.made')
          if (graft !== undefined) season.withdraw(graft)
        },
        mend: (season) => {
          const seen = season.entries.find(({ kind }) => kind === 'take.checked')
          if (seen !== undefined) season.withdraw(seen)
        },
        facts: () => ({ checks: 1, withdrawn: true }),
      },
      {
        code: 'take_more_buds_than_set',
        when: 'three buds are seen on a graft of two',
        until: 'the check is withdrawn',
        sound: grafted,
        wrong: (season) => void check(season, graftOf(season), 1, 3),
        mend: withdrawLast,
        facts: () => ({ buds_seen: 3, buds_set: 2 }),
      },
      {
        code: 'take_on_other_vine',
        when: 'a graft is seen on another vine',
        until: 'the check is withdrawn',
        sound: grafted,
        wrong: (season) => void check(season, graftOf(season), 2, 1),
        mend: withdrawLast,
        facts: () => ({ position: 1, seen_position: 2 }),
      },
    ],
  )
})

describe('a removal', () => {
  itFinds(
    () => database,
    [
      {
        code: 'removed_graft_unknown',
        when: 'it names a graft that has not come in',
        until: 'the graft comes in late',
        sound: (season) => {
          grafted(season)
          season.add('graft.removed', { graftId: graftOf(season), reason: 'wind' })
        },
        wrong: (season) => {
          season.add('graft.removed', { graftId: makeUnsent(season), reason: 'wind' })
        },
        mend: sendUnsent,
        facts: () => ({ removals: 1, withdrawn: false }),
      },
      {
        code: 'grew_after_removal',
        when: 'the graft is seen growing afterwards',
        until: 'the removal is withdrawn',
        sound: (season) => {
          grafted(season)
          season.add('graft.removed', { graftId: graftOf(season), reason: 'wind' })
          check(season, graftOf(season), 1, 0)
        },
        wrong: (season) => void check(season, graftOf(season), 1, 1),
        mend: (season) => {
          const removal = season.entries.find(({ kind }) => kind === 'graft.removed')
          if (removal !== undefined) season.withdraw(removal)
        },
        facts: (season) => ({ graft_id: graftOf(season) }),
      },
    ],
  )
})
