// A recall by blade tells the very same as a plain walk over the entries, in random seasons.
import fc from 'fast-check'
import { afterAll, beforeAll, expect, it } from 'vitest'
import { ingest } from '../../api/journal/ingest.ts'
import { readRecall } from '../../api/trace/recall.ts'
import type { RecallStart } from '../../api/trace/recall-start.ts'
import type { Entry } from '#wire/entry.ts'
import { freshDatabase } from '../database.ts'
import type { TestDatabase } from '../database.ts'
import { agents } from './recall-scene.ts'
import { PlainRecall, vineKey } from './plain-recall.ts'
import { randomCuts } from './random-cuts.ts'

let database: TestDatabase
beforeAll(async () => {
  database = await freshDatabase()
})
afterAll(() => database.drop())

let byBlade = 0
let sparedSome = 0

async function expectSame(entries: Entry[], start: RecallStart): Promise<void> {
  const question = { start, agent: agents.viroid, foundOn: '2028-01-01' }
  const recall = await readRecall(database.reader.db, question)
  const plain = new PlainRecall(entries)
  plain.from(start.kind === 'vine' ? { vine: vineKey(start) } : { id: start.id })
  const things = [
    ...recall.lots.map((lot) => lot.reached),
    ...recall.sources.map((source) => source.reached),
  ]
  const told = things.map(({ id, from }): [string, number] => [id, from.getTime()])
  expect(told.sort()).toEqual(plain.described().sort())
  const vines = recall.rows.flatMap(({ row_id: rowId, vines: ofRow }) =>
    ofRow.map(({ position, how }) => `${vineKey({ rowId, position })} ${how}`),
  )
  expect(vines.sort()).toEqual(plain.vines())
  for (const { id, from, route, via } of things) {
    if (route !== 'blade') continue
    byBlade += 1
    expect(plain.passed).toContain(`${via} ${id} ${from.getTime()}`)
  }
  expect(recall.isComplete).toBe(true)
  if (entries.flatMap(lotsOf).some((id) => !plain.things.has(id))) sparedSome += 1
}

const lotsOf = (entry: Entry) => (entry.kind === 'lot.cut' ? [entry.body.lotId] : [])

it('by blade: the same things, moments and vines as a walk over the entries', async () => {
  await fc.assert(
    fc.asyncProperty(fc.integer({ min: 1, max: 1_000_000 }), async (seed) => {
      const entries = randomCuts(`cuts ${seed}`, seed, 20 + (seed % 70))
      const [first] = entries
      await ingest(database.app.db, first?.device ?? '', entries)
      for (const id of entries.flatMap(lotsOf).slice(0, 3)) {
        await expectSame(entries, { kind: 'lot', id })
      }
      for (const entry of entries.slice(0, 3)) {
        if (entry.kind !== 'source.registered') continue
        await expectSame(entries, { kind: 'source', id: entry.body.sourceId })
      }
      const graft = entries.find((entry) => entry.kind === 'graft.made')
      if (graft?.kind === 'graft.made')
        await expectSame(entries, { kind: 'vine', ...graft.body.vine })
    }),
    { numRuns: 25, endOnFailure: true },
  )
  expect(byBlade).toBeGreaterThan(100)
  expect(sparedSome).toBeGreaterThan(10)
}, 240_000)
