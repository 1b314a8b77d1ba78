// A recall by blade tells the very same as a plain walk over the entries, in random seasons.
import fc from 'fast-check'
import { afterAll, beforeAll, expect, it } from 'vitest'
import { ingest } from '../../api/journal/ingest.ts'
import { followAgent } from '../../api/trace/recall-spread.ts'
import { readRecall } from '../../api/trace/recall.ts'
import type { RecallStart } from '../../api/trace/recall-start.ts'
import { routesOf } from '#trade/health-agents.ts'
import type { Entry } from '#wire/entry.ts'
import { freshDatabase } from '../database.ts'
import type { TestDatabase } from '../database.ts'
import { agents, RecallScene } from './recall-scene.ts'
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

it('says that it is incomplete when there are too many cuts to follow them all', async () => {
  const scene = new RecallScene('too many cuts')
  scene.row()
  for (const lot of ['bad', 'next', 'last']) {
    scene.source(`source of ${lot}`)
    scene.cut(lot, `source of ${lot}`)
  }
  scene.graft('bad', 1, 'first knife')
  scene.graft('next', 2, 'first knife')
  scene.graft('next', 3, 'second knife')
  scene.graft('last', 4, 'second knife')
  await scene.record(database.app.db)
  const from = new Date('2027-01-01T00:00:00Z')
  const start = { things: [{ id: scene.id('bad'), from }], vines: [] }
  const followed = async (cutLimit: number) => {
    const routes = routesOf(agents.viroid)
    const spread = await followAgent(database.reader.db, routes, start, cutLimit)
    return [
      spread.isComplete,
      spread.things.has(scene.id('next')),
      spread.things.has(scene.id('last')),
    ]
  }
  expect(await followed(3)).toEqual([true, true, true])
  expect(await followed(2)).toEqual([false, true, false])
})
