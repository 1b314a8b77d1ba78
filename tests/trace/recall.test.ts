// A recall follows an agent's own routes onwards in time, and says what cannot be known.
import fc from 'fast-check'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { ingest } from '../../api/journal/ingest.ts'
import { reachedVines, traceForward } from '../../api/trace/forward.ts'
import { readRecall } from '../../api/trace/recall.ts'
import type { RecallStart } from '../../api/trace/recall-start.ts'
import { freshDatabase } from '../database.ts'
import type { TestDatabase } from '../database.ts'
import { randomSeason } from '../sim/season.ts'
import { agents, RecallScene } from './recall-scene.ts'

let database: TestDatabase
beforeAll(async () => {
  database = await freshDatabase()
})
afterAll(() => database.drop())

async function recallOf(start: RecallStart, agent: string, foundOn = '2027-06-01') {
  const recall = await readRecall(database.app.db, { start, agent, foundOn })
  return {
    recall,
    lots: recall.lots.map((lot) => lot.reference).sort(),
    sources: recall.sources.map((source) => source.name).sort(),
    vines: recall.rows.flatMap((row) => row.vines.map((vine) => `${vine.position} ${vine.how}`)),
    unknowns: recall.unknowns.map((unknown) => unknown.what),
  }
}

describe('by lineage', () => {
  it('a virus reaches lots and vines of the source, and nothing by blade or water', async () => {
    const scene = new RecallScene('virus')
    scene.row()
    const bad = scene.source('bad')
    scene.source('good')
    scene.cut('B1', 'bad')
    scene.cut('G1', 'good')
    scene.soak('B1', 'bath')
    scene.soak('G1', 'bath')
    scene.graft('B1', 1)
    scene.graft('G1', 2)
    await scene.record(database.app.db)
    const { lots, vines } = await recallOf({ kind: 'source', id: bad }, agents.virus)
    expect(lots).toEqual(['B1'])
    expect(vines).toEqual(['1 buds'])
  })

  it('wood cut before the last clean test is not drawn in; without one, all of it is', async () => {
    const scene = new RecallScene('since')
    scene.row()
    const source = scene.source('mother')
    scene.cut('early', 'mother')
    scene.wait(24 * 30)
    scene.test('mother', '2027-02-05', 'not detected', 'leafroll')
    scene.wait(24)
    scene.cut('late', 'mother')
    scene.test('mother', '2027-05-01', 'detected', agents.virus)
    await scene.record(database.app.db)
    const start = { kind: 'source' as const, id: source }
    const after = await recallOf(start, agents.virus, '2027-05-01')
    expect(after.lots).toEqual(['late'])
    expect(after.recall.since.test?.sampled_on).toBe('2027-02-05')
    expect(after.unknowns).not.toContain('no clean test before')
    const other = await recallOf(start, 'GRBV', '2027-05-01')
    expect(other.lots).toEqual(['early', 'late'])
    expect(other.unknowns).toContain('no clean test before')
  })

  it('a clean test counts from the beginning of its day where the nursery is', async () => {
    const own = await freshDatabase()
    try {
      const scene = new RecallScene('far east')
      scene.describe('Pacific/Auckland')
      const source = scene.source('mother')
      // From 10 January 08:00 UTC to the 13th 23:30, in Auckland the 14th 12:30; then to the 14th
      // 22:00, in Auckland the 15th 11:00.
      scene.wait(87.5)
      scene.cut('day before', 'mother')
      scene.wait(22.5)
      scene.cut('same day', 'mother')
      scene.test('mother', '2027-01-15', 'not detected', agents.virus)
      scene.test('mother', '2027-05-01', 'detected', agents.virus)
      await scene.record(own.app.db)
      const start = { kind: 'source' as const, id: source }
      const question = { start, agent: agents.virus, foundOn: '2027-05-01' }
      const recall = await readRecall(own.app.db, question)
      expect(recall.lots.map((lot) => lot.reference)).toEqual(['same day'])
    } finally {
      await own.drop()
    }
  })

  it('a source vine reaches the lots of its block, for its wood may be among them', async () => {
    const scene = new RecallScene('vine source')
    scene.source('block')
    const vine = scene.source('vine 7', { parent: 'block' })
    scene.source('vine 8', { parent: 'block' })
    scene.cut('whole block', 'block')
    scene.cut('of 8', 'vine 8')
    await scene.record(database.app.db)
    expect((await recallOf({ kind: 'source', id: vine }, agents.virus)).lots).toEqual([
      'whole block',
    ])
  })

  it('goes on through a grafted vine that serves as a source, from the graft on', async () => {
    const scene = new RecallScene('onward')
    scene.row()
    const bad = scene.source('bad')
    scene.source('field vine', { parent: 'field', position: 4 })
    scene.cut('first', 'bad')
    scene.cut('before', 'field vine')
    scene.graft('first', 4)
    scene.cut('second', 'field vine')
    await scene.record(database.app.db)
    const { lots, sources } = await recallOf({ kind: 'source', id: bad }, agents.virus)
    expect(lots).toEqual(['first', 'second'])
    expect(sources).toEqual(['bad', 'field vine'])
  })
})

it('a lot that was received without its source is told as of unknown origin', async () => {
  const scene = new RecallScene('received')
  const lotId = scene.id('came')
  scene.writer.add('lot.received', {
    lotId,
    reference: 'came',
    material: 'scion wood',
    varietyId: scene.id('variety'),
    clone: null,
    scheme: null,
    class: null,
    harvestYear: 2026,
    budsPerStick: 6,
    supplierId: scene.id('supplier'),
    supplierReference: null,
    passportCode: null,
    sourceId: null,
    unit: 'stick',
    count: 20,
    bundles: [],
    to: { kind: 'place', id: scene.id('room') },
    note: '',
  })
  await scene.record(database.app.db)
  const { recall } = await recallOf({ kind: 'lot', id: lotId }, agents.virus)
  const what = 'lot of unknown origin'
  expect(recall.unknowns).toContainEqual({ what, lotId, reference: 'came' })
})

describe('by blade', () => {
  const cuts = (label: string) => {
    const scene = new RecallScene(label)
    scene.row()
    scene.source('bad')
    scene.source('good')
    scene.cut('B', 'bad')
    scene.cut('G', 'good')
    return scene
  }

  it('a viroid reaches what the knife cut next, until the knife is disinfected', async () => {
    const scene = cuts('blade')
    scene.graft('G', 1)
    scene.graft('B', 2)
    scene.graft('G', 3)
    scene.graft('G', 4)
    scene.disinfect()
    scene.graft('G', 5)
    scene.graft('G', 6, 'another knife')
    await scene.record(database.app.db)
    const { vines, lots } = await recallOf({ kind: 'source', id: scene.id('bad') }, agents.viroid)
    // What is left of lot G after position 3 was cut by the foul blade: its later buds count too.
    expect(vines).toEqual(['2 buds', '3 buds', '4 buds', '5 buds', '6 buds'])
    expect(lots).toEqual(['B', 'G'])
  })

  it('other wood stays out when the knife is disinfected between vines', async () => {
    const scene = cuts('clean blade')
    scene.graft('B', 1)
    scene.disinfect()
    scene.graft('G', 2)
    await scene.record(database.app.db)
    const { vines, unknowns } = await recallOf(
      { kind: 'source', id: scene.id('bad') },
      agents.viroid,
    )
    expect(vines).toEqual(['1 buds'])
    expect(unknowns).not.toContain('graft without a knife')
  })

  it('a blade without a tag is that of its person, and is told as unknown', async () => {
    const scene = cuts('no tag')
    scene.graft('B', 1, null)
    scene.graft('G', 2, null)
    await scene.record(database.app.db)
    const { vines, unknowns } = await recallOf(
      { kind: 'source', id: scene.id('bad') },
      agents.viroid,
    )
    expect(vines).toEqual(['1 buds', '2 buds'])
    expect(unknowns).toEqual(
      expect.arrayContaining(['graft without a knife', 'no disinfection recorded']),
    )
  })

  it('from a vine found infected, the vines worked after it with the same blade', async () => {
    const scene = cuts('from a vine')
    scene.graft('G', 1)
    scene.graft('G', 2)
    scene.disinfect()
    await scene.record(database.app.db)
    const start = { kind: 'vine' as const, rowId: scene.id('row'), position: 1 }
    const { vines, recall } = await recallOf(start, agents.viroid)
    expect(vines).toContain('2 buds')
    expect(recall.upstream.sources.map((source) => source.name)).toEqual(['good'])
  })
})

describe('by water', () => {
  it('wood fungi reach lots in the bath then or later, not those that left before', async () => {
    const scene = new RecallScene('water')
    const bad = scene.source('bad')
    scene.source('good')
    for (const lot of ['early', 'beside', 'late', 'elsewhere']) scene.cut(lot, 'good')
    scene.cut('B', 'bad')
    scene.soak('early', 'bath')
    scene.wait(5)
    scene.drain('early', 'bath')
    scene.soak('beside', 'bath')
    scene.soak('B', 'bath')
    scene.soak('elsewhere', 'second bath')
    scene.wait(20)
    scene.drain('B', 'bath')
    scene.soak('late', 'bath')
    await scene.record(database.app.db)
    const start = { kind: 'source' as const, id: bad }
    expect((await recallOf(start, agents.wood)).lots).toEqual(['B', 'beside', 'late'])
    expect((await recallOf(start, agents.virus)).lots).toEqual(['B'])
  })
})

it('by grafting alone a recall never goes beyond the trace forward (invariant 6)', async () => {
  await fc.assert(
    fc.asyncProperty(fc.integer({ min: 1, max: 1_000_000 }), async (seed) => {
      const { db } = database.app
      const entries = randomSeason(seed, 150)
      for (const device of new Set(entries.map((entry) => entry.device))) {
        await ingest(
          db,
          device,
          entries.filter((entry) => entry.device === device),
        )
      }
      const lots = entries.flatMap((entry) => (entry.kind === 'lot.cut' ? entry.body.lotId : []))
      for (const lotId of lots.slice(0, 4)) {
        const start = { kind: 'lot' as const, id: lotId }
        const { recall } = await recallOf(start, agents.virus)
        const forward = await traceForward(db, start)
        const ids = [...recall.lots.map((lot) => lot.lot_id)]
        expect(forward.lots.map((lot) => lot.lot_id)).toEqual(expect.arrayContaining(ids))
        const known = new Set(
          (await reachedVines(db, forward.lineage.ids)).map(
            (vine) => `${vine.row_id} ${vine.position}`,
          ),
        )
        for (const row of recall.rows) {
          for (const vine of row.vines) expect(known).toContain(`${row.row_id} ${vine.position}`)
        }
      }
    }),
    { numRuns: 4, endOnFailure: true },
  )
})
