// What judgement is told about lots is what the journal says, hold by hold and hour by hour.
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { readLotFacts } from '../../api/lots/lot-facts.ts'
import { freshDatabase } from '../database.ts'
import type { TestDatabase } from '../database.ts'
import { idOf } from '../sim/entry-writer.ts'
import { factsOf, iso, judgementOf, nowOf, readyLot, sent } from './facts-of.ts'

let database: TestDatabase
let queriesSent = 0
beforeAll(async () => {
  database = await freshDatabase()
  database.app.pool.on('connect', (client) => {
    const { query } = client
    client.query = ((...args: unknown[]) => {
      queriesSent += 1
      return Reflect.apply(query, client, args) as unknown
    }) as typeof client.query
  })
})
afterAll(() => database.drop())

const hoursOf = (span: { beganAt: number; endedAt: number | null }, from: number) => [
  (span.beganAt - from) / 3_600_000,
  span.endedAt === null ? null : (span.endedAt - from) / 3_600_000,
]

describe('a lot as it is', () => {
  it('is not known when no entry made it, though entries use it', async () => {
    const small = await sent(database, 'nobody made it', (season) => season.graft('lot', 1))
    const facts = await readLotFacts(database.reader.db, [small.id('lot')], nowOf(small), {
      code: '7K3M9Q2X4T5',
    })
    expect(facts.get(small.id('lot'))).toEqual({
      known: false,
      code: '7K3M9Q2X4T5',
      tag: { code: '7K3M9Q2X4T5', state: 'bound' },
      snapshotAt: null,
    })
  })

  it('kept cold, soaked and well drained is judged ready', async () => {
    const small = await sent(database, 'ready', readyLot)
    const lot = await factsOf(database, small, 'lot')
    expect(lot).toMatchObject({ varietyId: small.id('variety'), clone: '12', scheme: 'EU' })
    expect((await judgementOf(database, small, 'lot')).verdict).toBe('ready')
  })

  it('asks as many queries for many lots as for one', async () => {
    const small = await sent(database, 'many', (season) => {
      for (let nr = 0; nr < 30; nr += 1) season.cut(`lot ${nr}`)
      season.hold('source', 'source')
    })
    const count = async (lots: string[]) => {
      const before = queriesSent
      await readLotFacts(database.app.db, lots, nowOf(small))
      return queriesSent - before
    }
    const all = Array.from({ length: 30 }, (_, nr) => small.id(`lot ${nr}`))
    const one = await count(all.slice(0, 1))
    expect(await count(all)).toBe(one)
    expect(one).toBeGreaterThan(5)
    expect(one).toBeLessThan(20)
  })
})

describe('what is left', () => {
  it('opens sticks for the buds already set', async () => {
    const small = await sent(database, 'opened', (season) => {
      season.cut('lot')
      season.handOver('lot', 40)
      for (let nr = 1; nr <= 65; nr += 1) season.graft('lot', nr)
    })
    const account = { kind: 'holder', id: small.id('crew') }
    expect((await factsOf(database, small, 'lot', { account })).left).toEqual({
      sticks: 18,
      buds: 2,
    })
    expect((await factsOf(database, small, 'lot')).left).toEqual({ sticks: 78, buds: 2 })
  })

  it('says how many buds too many were set', async () => {
    const small = await sent(database, 'too many', (season) => {
      season.cut('lot', { sticks: 1 })
      for (let nr = 1; nr <= 5; nr += 1) season.graft('lot', nr)
    })
    expect((await factsOf(database, small, 'lot')).left).toEqual({ sticks: 0, buds: 6 - 10 })
  })

  it('of one bundle is not that of another', async () => {
    const small = await sent(database, 'bundled', (season) => {
      const bundles = ['one', 'two'].map((name, nr) => {
        return { bundleId: season.id(name), unit: 'stick' as const, count: 20 + nr }
      })
      season.cut('lot', { bundles })
    })
    const left = async (bundleId: string | null) =>
      (await factsOf(database, small, 'lot', { bundleId })).left?.sticks
    expect(await left(small.id('one'))).toBe(20)
    expect(await left(small.id('two'))).toBe(21)
    expect(await left(null)).toBe(59)
  })
})

describe('stays and soaks', () => {
  it('begin when wood comes and end when the last of it goes', async () => {
    const small = await sent(database, 'stays', (season) => {
      readyLot(season)
      season.handOver('lot', 60)
      season.wait(2)
      season.handOver('lot', 40)
    })
    const lot = await factsOf(database, small, 'lot')
    const from = lot.cutAt ?? 0
    const hours = (list: readonly { beganAt: number; endedAt: number | null }[]) =>
      list.map((span) => hoursOf(span, from).map((hour) => hour && Math.round(hour)))
    expect(hours(lot.stays)).toEqual([
      [0, 24],
      [54, 57],
    ])
    expect(lot.stays.map((stay) => stay.cooled)).toEqual([true, true])
    expect(hours(lot.soaks)).toEqual([[24, 54]])
  })

  it('of wood in a hand end when it came there, whatever befell the wood left behind', async () => {
    const small = await sent(database, 'in hand', (season) => {
      season.cut('lot')
      season.wait(10)
      season.handOver('lot', 20)
      season.wait(100)
    })
    const account = { kind: 'holder', id: small.id('crew') }
    const lot = await factsOf(database, small, 'lot', { account })
    expect(lot.stays.map((stay) => stay.endedAt !== null)).toEqual([true])
    expect((await factsOf(database, small, 'lot')).stays.map((stay) => stay.endedAt)).toEqual([
      null,
    ])
  })

  it('of the lot it was parted from count until it was parted, and not after', async () => {
    const small = await sent(database, 'parted', (season) => {
      season.bath('bath')
      season.cut('lot')
      season.wait(5)
      season.split('lot', 'part')
      season.wait(5)
      season.soak('lot', 10, 'bath')
    })
    const part = await factsOf(database, small, 'part')
    expect(part.soaks).toEqual([])
    const whole = await factsOf(database, small, 'lot')
    expect(whole.soaks).toHaveLength(1)
    expect(part.cutAt).toBe(whole.cutAt)
    expect(part.stays.map((stay) => iso(stay.beganAt))).toContain(iso(whole.cutAt))
  })

  it('in a bath end when the bath is emptied, though nobody told of lifting the wood', async () => {
    const small = await sent(database, 'emptied', (season) => {
      season.bath('bath')
      season.cut('lot')
      season.soak('lot', 100, 'bath')
      season.wait(26)
      season.add('bath.emptied', { bathId: season.id('bath') })
    })
    const [soak] = (await factsOf(database, small, 'lot')).soaks
    expect(iso(soak?.endedAt ?? null)).toBe(small.entries.at(-1)?.occurredAt)
  })

  it('are cooled by a cooled place around the place', async () => {
    const small = await sent(database, 'around', (season) => {
      season.place('rack', { insidePlaceId: season.id('room'), cooled: false })
      season.cut('lot', { to: { kind: 'place', id: season.id('rack') } })
    })
    expect((await factsOf(database, small, 'lot')).stays.map((stay) => stay.cooled)).toEqual([true])
  })
})

it('an empty question has an empty answer', async () => {
  expect(await readLotFacts(database.reader.db, [], new Date(0))).toEqual(new Map())
  expect((await readLotFacts(database.reader.db, [idOf('x')], new Date(0))).size).toBe(1)
})
