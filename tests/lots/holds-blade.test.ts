// Holds reach wood by blades as recalls do: a disinfection or a day of rest in between ends it.
import fc from 'fast-check'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { routesOf } from '#trade/health-agents.ts'
import type { Entry } from '#wire/entry.ts'
import { ingest } from '../../api/journal/ingest.ts'
import { readLotFacts } from '../../api/lots/lot-facts.ts'
import { readUpstream } from '../../api/lots/upstream.ts'
import { freshDatabase } from '../database.ts'
import type { TestDatabase } from '../database.ts'
import { PlainRecall } from '../trace/plain-recall.ts'
import { holdsOnSome, randomCuts } from '../trace/random-cuts.ts'
import { factsOf, judgementOf, sent } from './facts-of.ts'
import type { SmallSeason } from './small-season.ts'

let database: TestDatabase
beforeAll(async () => {
  database = await freshDatabase()
})
afterAll(() => database.drop())

const other = { person: 'another person' }

/** Held wood is cut, something happens to blades, then wood of 'lot' is cut. */
async function holdsAfter(
  label: string,
  between: (season: SmallSeason) => void,
  knives: [held: string | null, own: string | null] = ['knife', 'knife'],
) {
  const small = await sent(database, label, (season) => {
    const knifeId = (name: string | null) => ({ knifeId: name === null ? null : season.id(name) })
    season.cut('lot')
    season.cut('blunt')
    season.graft('blunt', 1, knifeId(knives[0]))
    between(season)
    season.graft('lot', 2, knifeId(knives[1]))
    season.hold('lot', 'blunt', 'viroids')
  })
  const { verdict } = await judgementOf(database, small, 'lot')
  const { holds } = await factsOf(database, small, 'lot')
  return { verdict, routes: holds.map(({ route }) => route) }
}

function disinfect(season: SmallSeason, knife: string | null, by: { person?: string } = {}): void {
  const knifeId = knife === null ? null : season.id(knife)
  const person = by.person === undefined ? {} : { person: season.id(by.person) }
  season.add('tool.disinfected', { knifeId, disinfectant: null, vine: null, note: '' }, person)
}

describe('invariant 8: a hold reaches wood that a blade cut after held wood', () => {
  it.each<[string, (season: SmallSeason) => void, [string | null, string | null]]>([
    ['with nothing in between', () => undefined, ['knife', 'knife']],
    ['though another knife was disinfected', (s) => disinfect(s, 'other'), ['knife', 'knife']],
    ['though it was disinfected, for it cut held wood again', cutAgain, ['knife', 'knife']],
    ['though days went by, for it was used every day', everyDay, ['knife', 'knife']],
    ['with no knife tagged, by the same person', () => undefined, [null, null]],
    ['though somebody else disinfected theirs', (s) => disinfect(s, null, other), [null, null]],
  ])('%s', async (label, between, knives) => {
    const { verdict, routes } = await holdsAfter(label, between, knives)
    expect(routes).toEqual(['blade'])
    expect(verdict).toBe('stop')
  })

  it.each<[string, (season: SmallSeason) => void, [string | null, string | null]]>([
    ['the knife was disinfected', (s) => disinfect(s, 'knife'), ['knife', 'knife']],
    ['the untagged knife was disinfected', (s) => disinfect(s, null), [null, null]],
    ['it lay unused for more than a day', (s) => s.wait(25), ['knife', 'knife']],
    ['it was another knife', () => undefined, ['knife', 'other']],
  ])('but not when %s', async (label, between, knives) => {
    expect((await holdsAfter(label, between, knives)).routes).toEqual([])
  })
})

const knife = (season: SmallSeason) => ({ knifeId: season.id('knife') })

function cutAgain(season: SmallSeason): void {
  disinfect(season, 'knife')
  season.graft('blunt', 3, knife(season))
}

function everyDay(season: SmallSeason): void {
  season.cut('third')
  for (let day = 0; day < 3; day += 1) {
    season.wait(20)
    season.graft('third', 10 + day, knife(season))
  }
  season.wait(20)
}

it('each such contact of a random season is found, and none that was not one', async () => {
  let found = 0
  let spared = 0
  await fc.assert(
    fc.asyncProperty(fc.integer({ min: 1, max: 1_000_000 }), async (seed) => {
      const season = randomCuts(`holds ${seed}`, seed, 60)
      const entries = [...season, ...holdsOnSome(season, 2, 'viroids', null)]
      await ingest(database.app.db, entries[0]?.device ?? '', entries)
      const { db } = database.reader
      const lotIds = [...new Set(season.flatMap((entry) => lotOf(entry)))]
      const upstream = await readUpstream(db, lotIds)
      const plain = new PlainRecall(entries)
      const facts = await readLotFacts(db, lotIds, new Date('2027-08-01T08:00:00Z'))
      for (const [lotId, lot] of facts) {
        if (!lot.known) continue
        const parts = upstream.sameWood.get(lotId) ?? []
        for (const { holdId, on, agent } of holdsIn(entries)) {
          if (upstream.reached.get(lotId)?.includes(on.id) || !routesOf(agent).has('blade'))
            continue
          const held = await heldBy(on.id)
          const isFoul = (before: (typeof plain.cuts)[0], cut: (typeof plain.cuts)[0]) =>
            held.has(before.lotId) && before.at < cut.at && plain.carries(before, cut)
          const isMet = plain.cuts.some((cut) => {
            const part = parts.find((one) => one.lotId === cut.lotId && cut.at < one.untilAt)
            return part !== undefined && plain.cuts.some((before) => isFoul(before, cut))
          })
          const isFound = lot.holds.some((hold) => hold.holdId === holdId && hold.route === 'blade')
          if (isMet) expect(isFound, `${lotId} by ${on.id}`).toBe(true)
          if (parts.length === 1) expect(isFound, `${lotId} by ${on.id}`).toBe(isMet)
          if (isFound) found += 1
          else spared += 1
        }
      }

      async function heldBy(id: string): Promise<Set<string>> {
        const all = await readUpstream(db, [...new Set(plain.cuts.map(({ lotId }) => lotId))])
        return new Set([...all.reached].flatMap(([lotId, up]) => (up.includes(id) ? lotId : [])))
      }
    }),
    { numRuns: 12, endOnFailure: true },
  )
  expect(found).toBeGreaterThan(30)
  expect(spared).toBeGreaterThan(30)
}, 240_000)

const holdsIn = (entries: Entry[]) =>
  entries.flatMap((entry) => (entry.kind === 'hold.placed' ? [entry.body] : []))

const lotOf = (entry: Entry) => (entry.kind === 'graft.made' ? [entry.body.lotId] : [])
