// The phone’s records, its own later entries laid over them, tell what a fresh snapshot tells.
import fc from 'fast-check'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { factsOf } from '../../../api/journal/facts.ts'
import { ingest } from '../../../api/journal/ingest.ts'
import { readLotFacts } from '../../../api/lots/lot-facts.ts'
import { readPieceFacts } from '../../../api/lots/piece-facts.ts'
import { judge } from '#trade/judge.ts'
import type { LotFacts } from '#trade/lot-facts.ts'
import { policiesWith } from '#trade/policies.ts'
import { NIL_ID } from '#wire/basics.ts'
import type { Entry } from '#wire/entry.ts'
import { FactBook } from '../../../scanner/snapshot/facts.ts'
import { fetchSnapshot } from '../../../scanner/snapshot/fetch.ts'
import { withFetched } from '../../../scanner/snapshot/known.ts'
import type { Known } from '../../../scanner/snapshot/known.ts'
import { overlaid } from '../../../scanner/snapshot/overlay.ts'
import { statedBy } from '../../../scanner/snapshot/own-facts.ts'
import type { OwnEntry } from '../../../scanner/snapshot-source.ts'
import { vinesOf } from '../../../scanner/snapshot/vines.ts'
import { randomSeason, seeded } from '../../sim/season.ts'
import { troubledSeason } from '../../sim/troubled-season.ts'
import { deviceApp } from '../../sync/device-app.ts'
import type { DeviceApp } from '../../sync/device-app.ts'

const now = new Date('2027-02-20T08:00:00Z')
let api: DeviceApp

beforeAll(async () => {
  api = await deviceApp(now)
})
afterAll(() => api.drop())

async function get(target: string): Promise<string> {
  const answer = await api.get(target)
  const text = await answer.text()
  if (answer.status !== 200) throw new Error(`${answer.status} ${text}`)
  return text
}

async function fetched(): Promise<Known> {
  const known = withFetched(null, await fetchSnapshot(get, null))
  if (known === null) throw new Error('the answer could not be used')
  return known
}

const send = async (entries: Entry[]) => {
  const indexes = new Map<string, number>()
  for (const entry of entries) {
    for (const result of await ingest(api.services.db, entry.device, [entry])) {
      if (result.result === 'recorded') indexes.set(result.id, result.journalIndex)
    }
  }
  return indexes
}

/** What a phone’s screens write; the rest is written in the office. */
const byPhone = new Set<string>([
  ...['lot.cut', 'lot.received', 'lot.split', 'lot.combined', 'stay.began', 'bath.filled'],
  ...['bath.emptied', 'soak.began', 'soak.ended', 'wood.handed_over', 'wood.returned'],
  ...['wood.discarded', 'graft.made', 'graft.removed', 'vine.skipped', 'take.checked'],
  ...['tie.released', 'tag.bound', 'tag.replaced', 'tag.spoiled', 'entry.withdrawn'],
  ...['check.viability', 'check.moisture', 'tool.disinfected', 'wood.accepted', 'hold.placed'],
])

/**
 * What a phone wrote, and takes back only of its own. A graft on a vine that serves as a source is
 * left out: a phone does not know which vines do, and learns what came of it from the server.
 */
const isOfPhone = (all: Entry[]) => {
  const vines = all.flatMap((entry) => {
    return entry.kind === 'source.registered' ? [JSON.stringify(entry.body.vine)] : []
  })
  const isOwn = (entry: Entry): boolean => {
    if (entry.kind === 'graft.made') return !vines.includes(JSON.stringify(entry.body.vine))
    // Of a handover that nobody wrote only this phone can think that it moved wood.
    if (entry.kind === 'wood.accepted') return all.some(({ id }) => id === entry.body.handoverId)
    if (entry.kind !== 'entry.withdrawn') return byPhone.has(entry.kind)
    const { entryId } = entry.body
    const taken = all.find(({ id }) => id === entryId)
    return taken === undefined || isOwn(taken)
  }
  return isOwn
}

/** Lists in facts have no order that means anything; what only the server knows is left out. */
function comparable(facts: LotFacts): unknown {
  if (!facts.known) return { known: false }
  const list = <T>(items: readonly T[]) =>
    items.map((item) => JSON.stringify(item, Object.keys(item as object).sort())).sort()
  const { stays, soaks, holds, sources, left, checks, dryingAir, ...rest } = facts
  const { cutAt, receivedAt, originUnknown, material, varietyId, clone, scheme, className } = rest
  return {
    ...{ cutAt, receivedAt, originUnknown, material, varietyId, clone, scheme, className, left },
    ...{ stays: list(stays), soaks: list(soaks), checks, dryingAir },
    holds: list(holds.filter(({ route }) => route !== 'blade')),
    sources: sources.map((source) => `${source.sourceId} ${source.cutAt}`).sort(),
    standings: sources.map((source) => JSON.stringify(source.standings)).sort(),
  }
}

const byBlade = (one: LotFacts) =>
  one.known ? one.holds.flatMap((hold) => (hold.route === 'blade' ? hold.holdId : [])) : []

async function serverFacts(lotIds: string[]): Promise<Map<string, LotFacts>> {
  return readLotFacts(api.services.db, lotIds, now)
}

/** Every piece of these lots that the phone knows of is where the server has it. */
async function expectPieces(known: Known, book: FactBook): Promise<void> {
  const pieces = [...known.lots.values()].flatMap(({ lotId, stock }) =>
    stock.map(([kind, id, bundleId]) => ({ lotId, bundleId, account: { kind, id } })),
  )
  const told = await readPieceFacts(api.services.db, pieces, now)
  for (const [nr, piece] of pieces.entries()) {
    const { lotId, bundleId, account } = piece
    const mine = book.factsOf(lotId, { bundleId, account })
    const theirs = told[nr] ?? ({ known: false } as LotFacts)
    expect(comparable(mine), JSON.stringify(piece)).toEqual(comparable(theirs))
  }
  expect(pieces.length).toBeGreaterThan(0)
}

const queuedOf = (entry: Entry, journalIndex: number | null) =>
  ({ ...entry, journalIndex }) as OwnEntry

const seasons = [
  ['an ordinary season', randomSeason],
  ['a season in which everything goes wrong', troubledSeason],
] as const

describe('what an own entry states', () => {
  it.each(seasons)('of wood is what the server books, entry by entry of %s', (_, write) => {
    for (const entry of [...write(7, 400), ...write(8, 400)]) {
      const booked = (factsOf(entry).movement ?? []).map((row) => [
        ...[row.lot_id, row.bundle_id, row.unit, row.account_kind, row.account_id, row.count],
      ])
      const stated = (statedBy(queuedOf(entry, null)).moves ?? []).map((move) => [
        ...[move.lotId, move.bundleId ?? NIL_ID, move.unit, move.kind, move.id, move.count],
      ])
      expect(stated, entry.kind).toEqual(booked)
    }
  })
})

describe('the facts of every lot in a snapshot', () => {
  it.each(seasons)(
    'are those that the server judges by, in %s',
    async (_, write) => {
      for (const seed of [11, 12]) {
        await send(write(seed, 200))
        const known = await fetched()
        const book = new FactBook(overlaid(known, []))
        const lotIds = [...known.lots.keys()]
        for (const [lotId, facts] of await serverFacts(lotIds)) {
          expect(comparable(book.factsOf(lotId)), lotId).toEqual(comparable(facts))
          expect(byBlade(book.factsOf(lotId)).sort(), lotId).toEqual(byBlade(facts).sort())
          const judged = judge({ ...book.factsOf(lotId), snapshotAt: null }, policiesWith({}), +now)
          expect(judged.verdict).toBe(judge(facts, policiesWith({}), +now).verdict)
        }
        await expectPieces(known, book)
        expect(lotIds.length).toBeGreaterThan(10)
      }
    },
    120_000,
  )
})

describe('own entries laid over an older snapshot', () => {
  it.each(seasons)(
    'tell of lots, tags and vines what the records then tell, in %s',
    async (_, w) => {
      await fc.assert(
        // Seasons of smaller numbers are in the records already, from the tests above.
        fc.asyncProperty(fc.integer({ min: 100, max: 1_000_000 }), async (seed) => {
          const entries = w(seed, 160)
          const random = seeded(seed)
          const first = 60 + Math.floor(random() * 40)
          const earlier = await send(entries.slice(0, first))
          const mine = entries.filter(isOfPhone(entries))
          const own = mine.filter((entry) => !earlier.has(entry.id))
          const isSent = own.filter(() => random() < 0.3)
          const before = await send(isSent.slice(0, 5))
          const known = await fetched()
          const since = await send(isSent.slice(5))
          const indexOf = (id: string) => before.get(id) ?? since.get(id) ?? null
          const laid = overlaid(
            known,
            mine.map((entry) => queuedOf(entry, earlier.get(entry.id) ?? indexOf(entry.id))),
          )
          await send(own.filter(({ id }) => indexOf(id) === null))
          await expectSame(laid, await fetched())
        }),
        { numRuns: 3, endOnFailure: true },
      )
    },
    240_000,
  )
})

async function expectSame(laid: ReturnType<typeof overlaid>, fresh: Known): Promise<void> {
  const book = new FactBook(laid)
  const facts = await serverFacts([...fresh.lots.keys()])
  for (const [lotId, told] of facts) {
    const mine = book.factsOf(lotId)
    expect(comparable(mine), lotId).toEqual(comparable(told))
    // A blade that a withdrawn graft had used may still be told of; one that was used always is.
    const reachedOnPhone = new Set(mine.known ? mine.holds.map(({ holdId }) => holdId) : [])
    expect(byBlade(told).filter((holdId) => !reachedOnPhone.has(holdId))).toEqual([])
    const stock = (lots: ReadonlyMap<string, { stock: readonly unknown[] }>) =>
      (lots.get(lotId)?.stock ?? []).map((line) => JSON.stringify(line)).sort()
    expect(stock(laid.lots), lotId).toEqual(stock(fresh.lots))
  }
  const things = new Set(fresh.lots.keys())
  for (const { bundles } of fresh.lots.values()) for (const [id] of bundles) things.add(id)
  for (const [code, told] of fresh.codes) {
    // A phone is not told of a code while it hung on wood that is gone.
    const [kind = '', id = ''] = told.bindings[0] ?? []
    if ((kind === 'lot' || kind === 'bundle') && !things.has(id)) continue
    const mine = laid.codes.get(code)
    expect([mine?.bindings[0], mine?.ends[0]], code).toEqual([told.bindings[0], told.ends[0]])
  }
  await expectPieces(fresh, book)
  const freshRows = overlaid(fresh, []).rows
  for (const [rowId, row] of freshRows) {
    const mine = laid.rows.get(rowId)
    if (mine === undefined) throw new Error(`row ${rowId} is not laid out on the phone`)
    expect(vinesOf(mine, 0), rowId).toEqual(vinesOf(row, 0))
  }
}
