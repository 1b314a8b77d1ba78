// What blades carried is judged on the phone as on the server, its own unsent entries counted in.
import fc from 'fast-check'
import { afterAll, beforeAll, beforeEach, expect, it } from 'vitest'
import type { LotFacts } from '#trade/lot-facts.ts'
import type { Entry } from '#wire/entry.ts'
import { ingest } from '../../../api/journal/ingest.ts'
import { readLotFacts } from '../../../api/lots/lot-facts.ts'
import { FactBook } from '../../../scanner/snapshot/facts.ts'
import { fetchSnapshot } from '../../../scanner/snapshot/fetch.ts'
import { withFetched } from '../../../scanner/snapshot/known.ts'
import type { Known } from '../../../scanner/snapshot/known.ts'
import { overlaid } from '../../../scanner/snapshot/overlay.ts'
import type { OwnEntry } from '../../../scanner/snapshot-source.ts'
import { seeded } from '../../sim/entry-writer.ts'
import { SmallSeason } from '../../lots/small-season.ts'
import { deviceApp } from '../../sync/device-app.ts'
import type { DeviceApp } from '../../sync/device-app.ts'
import { holdsOnSome, randomCuts } from '../../trace/random-cuts.ts'

const now = new Date('2027-06-01T08:00:00Z')
let api: DeviceApp
let found = 0
beforeAll(async () => {
  api = await deviceApp(now)
})
beforeEach(() => {
  found = 0
})
afterAll(() => api.drop())

async function fetched(): Promise<Known> {
  const get = async (target: string) => (await api.get(target)).text()
  const known = withFetched(null, await fetchSnapshot(get, null))
  if (known === null) throw new Error('the answer could not be used')
  return known
}

async function send(entries: readonly Entry[]): Promise<Map<string, number>> {
  const indexes = new Map<string, number>()
  for (const entry of entries) {
    for (const result of await ingest(api.services.db, entry.device, [entry])) {
      if (result.result === 'recorded') indexes.set(result.id, result.journalIndex)
    }
  }
  return indexes
}

const queued = (entries: readonly Entry[], indexes = new Map<string, number>()) =>
  entries.map((entry) => ({ ...entry, journalIndex: indexes.get(entry.id) ?? null }) as OwnEntry)

const byBlade = (facts: LotFacts | undefined) =>
  facts?.known !== true
    ? []
    : facts.holds.flatMap((hold) => (hold.route === 'blade' ? hold.holdId : [])).sort()

/** What the server says of every lot that wood was cut of, beside what the phone says. */
async function bothSay(entries: readonly Entry[], known: Known, own: readonly OwnEntry[]) {
  const lotIds = new Set(
    entries.flatMap((entry) => (entry.kind === 'graft.made' ? [entry.body.lotId] : [])),
  )
  const book = new FactBook(overlaid(known, own))
  const facts = await readLotFacts(api.services.db, [...lotIds], now)
  return [...lotIds].map((lotId) => {
    const server = byBlade(facts.get(lotId))
    found += server.length
    return { lotId, server, phone: byBlade(book.factsOf(lotId)) }
  })
}

/**
 * What a phone may write in a season, and what it may not: the register of sources and rows. Left
 * out are grafts on vines that serve as sources, for a phone does not know which vines do.
 */
function parted(season: readonly Entry[]): { office: Entry[]; phone: Entry[] } {
  const vines = season.flatMap((entry) =>
    entry.kind === 'source.registered' ? [JSON.stringify(entry.body.vine)] : [],
  )
  const office: Entry[] = []
  const phone: Entry[] = []
  for (const entry of season) {
    const isOffice = entry.kind === 'source.registered' || entry.kind === 'row.laid_out'
    const isOnSource =
      entry.kind === 'graft.made' && vines.includes(JSON.stringify(entry.body.vine))
    if (isOffice) office.push(entry)
    else if (!isOnSource) phone.push(entry)
  }
  return { office, phone }
}

const runs = { numRuns: 8, endOnFailure: true }
const anySeed = fc.integer({ min: 1, max: 1_000_000 })

it('of what the records hold, the phone says of every lot what the server says', async () => {
  await fc.assert(
    fc.asyncProperty(anySeed, async (seed) => {
      const season = randomCuts(`told ${seed}`, seed, 60)
      await send([...season, ...holdsOnSome(season, 2, 'viroids', null)])
      for (const { lotId, server, phone } of await bothSay(season, await fetched(), [])) {
        expect(phone, lotId).toEqual(server)
      }
    }),
    runs,
  )
  expect(found).toBeGreaterThan(20)
}, 240_000)

it('own cuts and disinfections since then count as they will for the server', async () => {
  await fc.assert(
    fc.asyncProperty(anySeed, async (seed) => {
      const season = randomCuts(`own ${seed}`, seed, 70, 0)
      const { office, phone } = parted(season)
      const mine = phone.filter(({ kind }) => kind !== 'entry.withdrawn')
      const first = 15 + (seed % 25)
      await send([...office, ...mine.slice(0, first), ...holdsOnSome(season, 2, 'viroids', null)])
      const known = await fetched()
      const own = queued(mine.slice(first))
      await send(mine.slice(first))
      for (const { lotId, server, phone: said } of await bothSay(mine, known, own)) {
        expect(said, lotId).toEqual(server)
      }
    }),
    runs,
  )
  expect(found).toBeGreaterThan(20)
}, 240_000)

it('told late, out of turn or taken back, they never spare what the server stops', async () => {
  await fc.assert(
    fc.asyncProperty(anySeed, async (seed) => {
      const random = seeded(seed)
      const season = randomCuts(`late ${seed}`, seed, 70, 0.3)
      const { office, phone } = parted(season)
      const isOffice = new Set(office.map(({ id }) => id))
      const mine = phone.filter((entry) => {
        return entry.kind !== 'entry.withdrawn' || !isOffice.has(entry.body.entryId)
      })
      const holds = holdsOnSome(season, 3, 'viroids', null)
      const [later] = holds.slice(-1)
      const isSent = mine.filter(() => random() < 0.6)
      const indexes = await send([...office, ...isSent, ...holds.slice(0, 2)])
      const known = await fetched()
      const own = [...mine, ...(later === undefined ? [] : [later])]
      await send(own)
      for (const one of await bothSay(mine, known, queued(own, indexes))) {
        expect(one.phone, one.lotId).toEqual(expect.arrayContaining(one.server))
      }
    }),
    runs,
  )
  expect(found).toBeGreaterThan(20)
}, 240_000)

it('a knife that this phone disinfected a moment ago carries nothing (invariant 8)', async () => {
  const small = new SmallSeason('moment', '2027-05-01T08:00:00Z')
  const knife = { knifeId: small.id('knife') }
  small.cut('held')
  small.cut('lot')
  small.graft('held', 1, knife)
  small.hold('lot', 'held', 'viroids')
  await send(small.entries)
  const known = await fetched()
  const says = (own: readonly Entry[]) =>
    byBlade(new FactBook(overlaid(known, queued(own))).factsOf(small.id('lot')))
  const cleaned = small.add('tool.disinfected', {
    ...{ ...knife, disinfectant: null, vine: null, note: '' },
  })
  const graft = small.graft('lot', 2, knife)
  expect(says([graft])).toEqual([small.id('hold on held')])
  expect(says([cleaned, graft])).toEqual([])
  expect(says([cleaned, graft, small.withdraw(cleaned)])).toEqual([small.id('hold on held')])
})

it('a disinfection that the records hold and this phone took back counts no more', async () => {
  const small = new SmallSeason('taken back', '2027-05-01T08:00:00Z')
  const knife = { knifeId: small.id('knife') }
  small.cut('held')
  small.cut('lot')
  small.graft('held', 1, knife)
  const cleaned = small.add('tool.disinfected', {
    ...{ ...knife, disinfectant: null, vine: null, note: '' },
  })
  small.graft('lot', 2, knife)
  small.hold('lot', 'held', 'viroids')
  const indexes = await send(small.entries)
  const known = await fetched()
  const says = (own: readonly Entry[]) =>
    byBlade(new FactBook(overlaid(known, queued(own, indexes))).factsOf(small.id('lot')))
  expect(says([cleaned])).toEqual([])
  expect(says([cleaned, small.withdraw(cleaned)])).toEqual([small.id('hold on held')])
})
