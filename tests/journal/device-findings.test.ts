// The records show lost entries, odd clocks and strange withdrawals, until they are put right.
import fc from 'fast-check'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { mergeRuns } from '../../api/journal/count-entries.ts'
import type { Entry } from '#wire/entry.ts'
import { freshDatabase } from '../database.ts'
import type { TestDatabase } from '../database.ts'
import { send, SmallSeason, withdrawLast } from '../lots/small-season.ts'
import { findingsOf, itFinds } from './rule-cases.ts'

let database: TestDatabase
beforeAll(async () => {
  database = await freshDatabase()
})
afterAll(() => database.drop())

const deviceOf = (season: SmallSeason) => season.entries[0]?.device ?? ''

/** Entries that the device has written and not sent yet, by season. */
const unsent = new WeakMap<SmallSeason, Entry[]>()

function keepBack(season: SmallSeason, count: number): void {
  unsent.set(season, season.entries.splice(-count))
}

describe('a device', () => {
  itFinds(
    () => database,
    [
      {
        code: 'counter_missing',
        when: 'two entries have not come in',
        until: 'they come in late',
        sound: (season) => void season.cut('lot'),
        wrong: (season) => {
          season.place('one')
          season.place('two')
          keepBack(season, 2)
          season.place('three')
        },
        mend: (season) => void season.entries.push(...(unsent.get(season) ?? [])),
        facts: (season) => {
          const last = season.entries.at(-1)?.deviceCounter ?? 0
          return { device_id: deviceOf(season), from: last - 2, to: last - 1 }
        },
      },
    ],
  )

  it('counter_missing: one gap becomes two when an entry between comes in', async () => {
    const season = new SmallSeason('gaps')
    for (let nr = 1; nr <= 6; nr += 1) season.place(`place ${nr}`)
    const [, , third, , fifth, sixth] = season.entries
    if (third === undefined || fifth === undefined || sixth === undefined) throw new Error('few')
    await send(database.app.db, [sixth])
    const gaps = async () =>
      (await findingsOf(database.app.db, 'counter_missing'))
        .filter((row) => row.finding_key.includes(sixth.device))
        .map((row) => row.facts)
    expect(await gaps()).toEqual([{ device_id: sixth.device, from: 1, to: 5 }])
    await send(database.app.db, [third])
    expect(await gaps()).toMatchObject([
      { from: 1, to: 2 },
      { from: 4, to: 5 },
    ])
    await send(database.app.db, season.entries)
    expect(await gaps()).toEqual([])
  })

  it('counter_twice: two entries with one number are told, and stay told', async () => {
    const season = new SmallSeason('twice')
    season.place('one')
    await send(database.app.db, season.entries)
    const before = await findingsOf(database.app.db, 'counter_twice')
    season.numberAgain(deviceOf(season))
    season.place('two')
    await send(database.app.db, season.entries)
    const found = await findingsOf(database.app.db, 'counter_twice')
    expect(found).toHaveLength(before.length + 1)
    const facts = { device_id: deviceOf(season), counter: 1 }
    expect(found.map((row) => row.facts)).toContainEqual(facts)
  })

  it('counter_twice: an entry that is sent again is no second one', async () => {
    const season = new SmallSeason('resent')
    season.place('one')
    await send(database.app.db, season.entries)
    await send(database.app.db, season.entries)
    const found = await findingsOf(database.app.db, 'counter_twice')
    expect(found.filter((row) => row.finding_key.includes(deviceOf(season)))).toEqual([])
  })
})

describe('the runs of a counter', () => {
  it('are those of the sorted numbers, in whatever pieces they come', () => {
    const piece = fc.array(fc.integer({ min: 1, max: 40 }), { maxLength: 12 })
    fc.assert(
      fc.property(fc.array(piece, { maxLength: 8 }), (pieces) => {
        let runs: { device_id: string; from_counter: number; to_counter: number }[] = []
        const twice: number[] = []
        for (const counters of pieces) {
          const merged = mergeRuns(
            'd',
            runs,
            [...counters].sort((one, other) => one - other),
          )
          runs = merged.runs
          twice.push(...merged.twice)
        }
        const all = pieces.flat()
        const covered = runs.flatMap(({ from_counter: from, to_counter: to }) =>
          Array.from({ length: to - from + 1 }, (_, nr) => from + nr),
        )
        expect(covered).toEqual([...new Set(all)].sort((one, other) => one - other))
        const repeated = all.filter((counter, nr) => all.indexOf(counter) !== nr)
        expect([...new Set(twice)].sort()).toEqual([...new Set(repeated)].sort())
        for (const [nr, run] of runs.entries()) {
          expect(run.from_counter).toBeGreaterThan((runs[nr - 1]?.to_counter ?? -1) + 1)
        }
      }),
    )
  })
})

describe('a clock', () => {
  const day = new Date().toISOString().slice(0, 10)

  it.each([
    ['clock_ahead', 20, 4],
    ['late_entry', -8 * 24 * 60, -6 * 24 * 60],
  ] as const)('%s: an entry %i minutes off is told, one %i minutes off is not', async (...row) => {
    const [code, wrong, right] = row
    const at = (minutes: number) => new Date(Date.now() + minutes * 60_000).toISOString()
    const season = new SmallSeason(`${code} wrong`, at(wrong))
    season.place('one')
    const sound = new SmallSeason(`${code} right`, at(right - 1))
    sound.place('one')
    await send(database.app.db, [...season.entries, ...sound.entries])
    const found = await findingsOf(database.app.db, code)
    const mine = found.filter((one) => one.finding_key.includes(deviceOf(season)))
    expect(mine.map((one) => one.facts)).toMatchObject([
      { device_id: deviceOf(season), entries: 1 },
    ])
    expect(mine[0]?.finding_key.slice(0, -1)).toContain(day.slice(0, -1))
    expect(found.some((one) => one.finding_key.includes(deviceOf(sound)))).toBe(false)
  })
})

describe('a withdrawal', () => {
  itFinds(
    () => database,
    [
      {
        code: 'withdrawn_unknown',
        when: 'it takes back an entry that has not come in',
        until: 'that entry comes in late',
        sound: (season) => {
          season.place('one')
          withdrawLast(season)
        },
        wrong: (season) => {
          const late = season.place('two')
          keepBack(season, 1)
          season.withdraw(late)
        },
        mend: (season) => void season.entries.push(...(unsent.get(season) ?? [])),
        facts: () => ({ withdrawals: 1 }),
      },
    ],
  )

  it.each([
    ['after', false],
    ['before', true],
  ])('withdrawal_of_withdrawal: is told when it comes %s the other', async (when, first) => {
    const season = new SmallSeason(`again ${when}`)
    const place = season.place('one')
    const withdrawal = season.withdraw(place)
    season.withdraw(withdrawal)
    const order = first ? [...season.entries].reverse() : season.entries
    for (const entry of order) await send(database.app.db, [entry])
    const found = await findingsOf(database.app.db, 'withdrawal_of_withdrawal')
    expect(found.map((row) => row.facts)).toContainEqual({
      entry_id: withdrawal.id,
      withdrawals: 1,
    })
    const unknown = await findingsOf(database.app.db, 'withdrawn_unknown')
    const ids = new Set(season.entries.map((entry) => entry.id))
    expect(unknown.filter((row) => ids.has(row.finding_key.split(':')[1] ?? ''))).toEqual([])
  })
})
