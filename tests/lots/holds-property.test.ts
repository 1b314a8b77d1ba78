// Invariant 8 over random seasons: judgement never says ready while a hold reaches the lot.
import fc from 'fast-check'
import { afterAll, beforeAll, expect, it } from 'vitest'
import { routesOf } from '#trade/health-agents.ts'
import { judge } from '#trade/judge.ts'
import { policiesWith } from '#trade/policies.ts'
import type { Entry, EntryKind } from '#wire/entry.ts'
import { readLotFacts } from '../../api/lots/lot-facts.ts'
import { freshDatabase } from '../database.ts'
import type { TestDatabase } from '../database.ts'
import { troubledSeason } from '../sim/troubled-season.ts'
import { send } from './small-season.ts'

let database: TestDatabase
beforeAll(async () => {
  database = await freshDatabase()
})
afterAll(() => database.drop())

it('invariant 8: each hold that a naive walk finds is found, none is judged ready', async () => {
  let holdsSeen = 0
  await fc.assert(
    fc.asyncProperty(fc.integer({ min: 1, max: 1_000_000 }), async (seed) => {
      const entries = troubledSeason(seed, 200)
      await send(database.app.db, entries)
      const walk = new NaiveWalk(entries)
      const now = new Date(Date.parse(entries.at(-1)?.occurredAt ?? '') + 3_600_000)
      const facts = await readLotFacts(database.reader.db, walk.lotIds(), now)
      for (const [lotId, lot] of facts) {
        if (!lot.known) continue
        const found = new Set(lot.holds.map((hold) => hold.holdId))
        const lineage = lot.holds.filter((hold) => hold.relation !== 'contact')
        expect(new Set(lineage.map((hold) => hold.holdId))).toEqual(walk.heldUpstream(lotId))
        for (const holdId of walk.heldTouched(lotId)) expect(found).toContain(holdId)
        holdsSeen += found.size
        const { verdict } = judge(lot, policiesWith({}), now.getTime())
        if (found.size > 0) expect(verdict).not.toBe('ready')
      }
    }),
    { numRuns: 12, endOnFailure: true },
  )
  expect(holdsSeen).toBeGreaterThan(100)
})

type Making = { lotId: string; at: number; parents: string[]; sourceId: string | null }

/** Walks the entries themselves, the slow way, knowing nothing of the database. */
class NaiveWalk {
  private readonly entries: Entry[]

  constructor(entries: Entry[]) {
    const withdrawn = new Set(
      entries.flatMap((entry) => (entry.kind === 'entry.withdrawn' ? [entry.body.entryId] : [])),
    )
    this.entries = entries
      .filter((entry) => entry.kind === 'entry.withdrawn' || !withdrawn.has(entry.id))
      .sort((one, other) => (key(one) < key(other) ? -1 : 1))
  }

  lotIds(): string[] {
    return [...new Set(this.makings().map(({ lotId }) => lotId))]
  }

  heldUpstream(lotId: string): Set<string> {
    const reached = new Set([lotId])
    for (const id of reached) for (const from of this.cameOf(id)) reached.add(from)
    const holds = this.holds().filter(
      ({ on }) => (on.kind === 'lot' || on.kind === 'source') && reached.has(on.id),
    )
    return new Set(holds.map(({ holdId }) => holdId))
  }

  /** Standing holds on baths and places that the wood itself was in. */
  heldTouched(lotId: string): Set<string> {
    const touched = this.touched(lotId, Number.POSITIVE_INFINITY, 0)
    const holds = this.holds().filter(({ on, agent }) => {
      const route = on.kind === 'bath' ? 'water' : 'place'
      return (on.kind === 'bath' || on.kind === 'place') && routesOf(agent).has(route)
        ? touched.has(on.id)
        : false
    })
    return new Set(holds.map(({ holdId }) => holdId))
  }

  private of<K extends EntryKind>(kind: K): Entry<K>[] {
    return this.entries.filter((entry) => entry.kind === kind) as Entry[] as Entry<K>[]
  }

  private holds() {
    const lifted = new Set(this.of('hold.lifted').map(({ body }) => body.holdId))
    return this.of('hold.placed')
      .map(({ body }) => body)
      .filter(({ holdId }) => !lifted.has(holdId))
  }

  private makings(): Making[] {
    return this.entries.flatMap((entry): Making[] => {
      const at = Date.parse(entry.occurredAt)
      if (entry.kind === 'lot.cut') return [{ at, parents: [], ...entry.body }]
      if (entry.kind === 'lot.split') {
        const parents = [entry.body.parentLotId]
        return entry.body.parts.map(({ lotId }) => ({ lotId, at, parents, sourceId: null }))
      }
      if (entry.kind !== 'lot.combined') return []
      const parents = entry.body.parents.map((parent) => parent.lotId)
      return [{ lotId: entry.body.lotId, at, parents, sourceId: null }]
    })
  }

  private cameOf(id: string): string[] {
    const made = this.makings().filter(({ lotId }) => lotId === id)
    const froms = made.flatMap(({ parents, sourceId }) => [...parents, sourceId])
    const source = this.of('source.registered').findLast(({ body }) => body.sourceId === id)?.body
    if (source !== undefined) {
      froms.push(source.parentSourceId, source.originLotId)
      const { vine } = source
      for (const { body } of this.of('graft.made')) {
        const same = body.vine.rowId === vine?.rowId && body.vine.position === vine.position
        if (same) froms.push(body.lotId)
      }
    }
    return froms.filter((from): from is string => from !== null)
  }

  private touched(lotId: string, untilAt: number, depth: number): Set<string> {
    const found = new Set<string>()
    for (const entry of this.entries) {
      if (Date.parse(entry.occurredAt) >= untilAt) continue
      for (const id of movedThrough(entry, lotId)) found.add(id)
    }
    const [first] = this.makings().filter((made) => made.lotId === lotId)
    if (first === undefined || depth > 5) return found
    const parents = this.makings().filter((made) => made.lotId === lotId)
    for (const parent of parents.flatMap((made) => made.parents)) {
      const until = Math.min(untilAt, first.at)
      for (const id of this.touched(parent, until, depth + 1)) found.add(id)
    }
    return found
  }
}

/** Places and baths that an entry says wood of the lot came into or out of. */
function movedThrough(entry: Entry, lotId: string): string[] {
  const { kind, body } = entry
  if (kind === 'lot.cut') return body.lotId === lotId ? [body.to.id] : []
  if (kind === 'graft.made') return body.lotId === lotId ? [body.from.id] : []
  if (kind === 'lot.split') {
    const named = [body.parentLotId, ...body.parts.map((part) => part.lotId)]
    return named.includes(lotId) ? [body.from.id] : []
  }
  if (kind === 'lot.combined') {
    const from = body.parents.filter((parent) => parent.lotId === lotId)
    return [...from.map((parent) => parent.from.id), ...(body.lotId === lotId ? [body.to.id] : [])]
  }
  if (!('wood' in body) || body.wood.lotId !== lotId) return []
  const ends = ['from' in body ? body.from.id : null, 'to' in body ? body.to.id : null]
  const things = ['bathId' in body ? body.bathId : null, 'placeId' in body ? body.placeId : null]
  return [...ends, ...things].filter((id): id is string => id !== null)
}

const key = (entry: Entry) => `${new Date(entry.occurredAt).toISOString()} ${entry.id}`
