// Invariant 6: forward and back agree with each other and with a naive walk over the entries.
import fc from 'fast-check'
import { afterAll, beforeAll, expect, it } from 'vitest'
import { ingest } from '../../api/journal/ingest.ts'
import { traceLotBack, traceVineBack } from '../../api/trace/back.ts'
import { reachedVines, startIds, traceForward } from '../../api/trace/forward.ts'
import type { Entry } from '#wire/entry.ts'
import { freshDatabase } from '../database.ts'
import type { TestDatabase } from '../database.ts'
import { randomSeason } from '../sim/season.ts'

let database: TestDatabase
beforeAll(async () => {
  database = await freshDatabase()
})
afterAll(() => database.drop())

it('v is forward of s exactly when s is back of v, as a naive walk says', async () => {
  await fc.assert(
    fc.asyncProperty(fc.integer({ min: 1, max: 1_000_000 }), async (seed) => {
      const entries = randomSeason(seed, 200)
      const { db } = database.app
      for (const device of new Set(entries.map((entry) => entry.device))) {
        await ingest(
          db,
          device,
          entries.filter((entry) => entry.device === device),
        )
      }
      const oracle = naive(entries)
      for (const vine of oracle.vines) {
        const [rowId = '', position = ''] = vine.split('@')
        const back = await traceVineBack(db, rowId, Number(position))
        expect(new Set(back.lineage.ids)).toEqual(oracle.backOf(vine))
      }
      for (const lot of oracle.lots.slice(0, 8)) {
        const back = await traceLotBack(db, lot)
        expect(new Set(back.lineage.ids)).toEqual(new Set([lot, ...oracle.backOf(lot)]))
      }
      for (const source of oracle.sources) {
        const forward = await traceForward(db, { kind: 'source', id: source })
        const vines = await reachedVines(db, forward.lineage.ids)
        const found = new Set(vines.map((vine) => `${vine.row_id}@${vine.position}`))
        const expected = oracle.vines.filter((vine) => oracle.backOf(vine).has(source))
        expect(found).toEqual(new Set(expected))
        const counted = forward.rows.reduce((sum, row) => sum + row.vines, 0)
        expect(counted).toBe(expected.length)
      }
    }),
    { numRuns: 5, endOnFailure: true },
  )
})

it('a bath leads forward to every vine of every lot that soaked in it', async () => {
  const entries = randomSeason(77, 400)
  const { db } = database.app
  for (const device of new Set(entries.map((entry) => entry.device))) {
    await ingest(
      db,
      device,
      entries.filter((entry) => entry.device === device),
    )
  }
  const standing = withoutWithdrawn(entries)
  const soaked = new Set(
    standing.flatMap((entry) =>
      entry.kind === 'soak.began' || entry.kind === 'soak.ended' ? [entry.body.wood.lotId] : [],
    ),
  )
  const bath = entries.find((entry) => entry.kind === 'bath.filled')
  if (bath?.kind !== 'bath.filled') throw new Error('the season has no bath')
  const start = { kind: 'bath' as const, id: bath.body.bathId }
  expect(new Set(await startIds(db, start))).toEqual(soaked)
  const oracle = naive(entries)
  const forward = await traceForward(db, start)
  const vines = await reachedVines(db, forward.lineage.ids)
  const expected = oracle.vines.filter((vine) =>
    [...oracle.backOf(vine)].some((id) => soaked.has(id)),
  )
  expect(expected.length).toBeGreaterThan(0)
  expect(new Set(vines.map((vine) => `${vine.row_id}@${vine.position}`))).toEqual(new Set(expected))
})

function withoutWithdrawn(entries: Entry[]): Entry[] {
  const withdrawn = new Set(
    entries.flatMap((entry) => (entry.kind === 'entry.withdrawn' ? [entry.body.entryId] : [])),
  )
  return entries.filter((entry) => entry.kind === 'entry.withdrawn' || !withdrawn.has(entry.id))
}

/** Walks the entries themselves, without a database: slow and plain. */
function naive(entries: Entry[]) {
  const parents = new Map<string, Set<string>>()
  const link = (child: string, parent: string | null) => {
    if (parent === null) return
    parents.set(child, (parents.get(child) ?? new Set()).add(parent))
  }
  const vines = new Set<string>()
  const lots = new Set<string>()
  const sources = new Set<string>()
  const lastOf = new Map<string, Entry<'source.registered'>>()
  for (const entry of withoutWithdrawn(entries)) {
    if (entry.kind === 'lot.cut') {
      lots.add(entry.body.lotId)
      link(entry.body.lotId, entry.body.sourceId)
    } else if (entry.kind === 'lot.split') {
      for (const part of entry.body.parts) link(part.lotId, entry.body.parentLotId)
    } else if (entry.kind === 'lot.combined') {
      for (const parent of entry.body.parents) link(entry.body.lotId, parent.lotId)
    } else if (entry.kind === 'graft.made') {
      const vine = `${entry.body.vine.rowId}@${entry.body.vine.position}`
      vines.add(vine)
      link(vine, entry.body.lotId)
    } else if (entry.kind === 'source.registered') {
      lastOf.set(entry.body.sourceId, entry)
      sources.add(entry.body.sourceId)
    }
  }
  for (const { body } of lastOf.values()) {
    link(body.sourceId, body.parentSourceId)
    link(body.sourceId, body.originLotId)
  }
  const backOf = (id: string): Set<string> => {
    const seen = new Set<string>()
    const open = [...(parents.get(id) ?? [])]
    for (let next = open.pop(); next !== undefined; next = open.pop()) {
      if (seen.has(next)) continue
      seen.add(next)
      open.push(...(parents.get(next) ?? []))
    }
    return seen
  }
  return { vines: [...vines], lots: [...lots], sources: [...sources], backOf }
}
