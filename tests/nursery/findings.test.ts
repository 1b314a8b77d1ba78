// The records show what is wrong about rows and what stands in them, until it is put right.
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

const plan = (season: SmallSeason, changes: { clone?: string; class?: string; season?: number }) =>
  season.add('row.planned', {
    rowId: season.id('row'),
    fromPosition: 1,
    toPosition: 50,
    season: 2027,
    varietyId: season.id('variety'),
    clone: null,
    class: null,
    method: null,
    budsPerVine: 2,
    ...changes,
  })

const vine = (season: SmallSeason, position: number) => ({ rowId: season.id('row'), position })

/** A row of 100 with a lot to set in it. */
const rowAndLot = (season: SmallSeason) => {
  season.row('row')
  season.cut('lot')
  season.handOver('lot', 50)
}

describe('a row', () => {
  itFinds(
    () => database,
    [
      {
        code: 'row_unknown',
        when: 'a vine of a row that is not laid out is passed over',
        until: 'the layout comes in late',
        sound: rowAndLot,
        wrong: (season) => {
          const strange = { rowId: season.id('other row'), position: 1 }
          season.add('vine.skipped', { vine: strange, reason: 'thin' })
        },
        mend: (season) => void season.row('other row'),
        facts: (season) => ({ row_id: season.id('other row'), entries: 1 }),
      },
      {
        code: 'position_beyond_row',
        when: 'a graft is on position 101 of a row of 100',
        until: 'the row is laid out longer',
        sound: (season) => {
          rowAndLot(season)
          season.graft('lot', 100)
        },
        wrong: (season) => void season.graft('lot', 101),
        mend: (season) => void season.row('row', { positionCount: 110 }),
        facts: () => ({ position: 101, positions: 100, entries: 1 }),
      },
      {
        code: 'two_rows_one_label',
        when: 'two rows of a block have one label',
        until: 'one is laid out in another block',
        sound: rowAndLot,
        wrong: (season) => void season.row('other row', { label: 'row' }),
        mend: (season) => void season.row('other row', { blockId: season.id('other block') }),
        facts: (season) => ({
          label: 'row',
          rows: [season.id('row'), season.id('other row')].sort(),
        }),
      },
      {
        code: 'block_unknown',
        when: 'a row is laid out in a block without a name',
        until: 'the block is registered late',
        sound: rowAndLot,
        wrong: (season) => void season.row('other row', { blockId: season.id('other block') }),
        mend: (season) => {
          const body = { blockId: season.id('other block'), name: 'Lower block', note: '' }
          season.add('block.registered', body)
        },
        facts: (season) => ({ rows: [season.id('other row')] }),
      },
    ],
  )
})

describe('a graft where no vine stands', () => {
  itFinds(
    () => database,
    [
      {
        code: 'grafted_where_no_vine',
        when: 'the layout says that the vine is missing',
        until: 'a later layout has it',
        sound: (season) => {
          season.row('row', { missing: [7] })
          season.cut('lot')
          season.graft('lot', 6)
        },
        wrong: (season) => void season.graft('lot', 7),
        mend: (season) => void season.row('row'),
        facts: () => ({ position: 7, grafts: 1 }),
      },
      {
        code: 'grafted_where_no_vine',
        when: 'the vine was removed before',
        until: 'a planting in between comes in late',
        sound: (season) => {
          rowAndLot(season)
          season.graft('lot', 7)
          season.add('vine.removed', { ...vine(season, 7), reason: 'dead' })
          season.wait(24)
        },
        wrong: (season) => void season.graft('lot', 7),
        mend: (season) => {
          const body = { ...vine(season, 7), plantedYear: 2027, layers: [], note: '' }
          season.add('vine.planted', body, { minutesAgo: 60 })
        },
        facts: () => ({ position: 7, grafts: 1 }),
      },
      {
        code: 'grafted_where_no_vine',
        when: 'the only layout, entered after the graft, has no vine there',
        until: 'that layout is withdrawn',
        sound: (season) => {
          season.cut('lot')
          season.graft('lot', 7)
        },
        wrong: (season) => void season.row('row', { missing: [7] }),
        mend: withdrawLast,
        facts: () => ({ position: 7, grafts: 1 }),
      },
    ],
  )
})

describe('a graft against the plan', () => {
  itFinds(
    () => database,
    [
      {
        code: 'differs_from_plan',
        when: 'another clone is set than was planned for the season',
        until: 'the plan is changed',
        sound: (season) => {
          rowAndLot(season)
          plan(season, { clone: '7', season: 2026 })
          plan(season, { clone: '12' })
          for (const position of [1, 2, 60]) season.graft('lot', position)
        },
        wrong: (season) => void plan(season, { clone: '7' }),
        mend: (season) => void plan(season, { clone: '12' }),
        facts: () => ({
          season: 2027,
          vines: 2,
          first_position: 1,
          last_position: 2,
          differs: [{ what: 'clone', here: '12', there: '7' }],
        }),
      },
      {
        code: 'differs_from_plan',
        when: 'a laxer class is set than was planned, though a stricter is welcome',
        until: 'the lot turns out to have been of the stricter class',
        sound: (season) => {
          rowAndLot(season)
          season.cut('base', { class: 'base' })
          plan(season, { class: 'certified' })
          season.graft('base', 1)
        },
        wrong: (season) => {
          season.cut('standard', { class: 'standard' })
          season.graft('standard', 2)
        },
        mend: (season) => {
          const wrong = season.entries.findLast(({ kind }) => kind === 'lot.cut')
          if (wrong !== undefined) season.withdraw(wrong)
          season.cut('standard', { class: 'certified' })
        },
        facts: () => ({ differs: [{ what: 'class', here: 'standard', there: 'certified' }] }),
      },
    ],
  )
})
