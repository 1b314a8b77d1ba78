// Judgement is told which sources a lot came of, what its row is planned for, and of its tag.
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { freshDatabase } from '../database.ts'
import type { TestDatabase } from '../database.ts'
import { factsOf, iso, judgementOf, sent } from './facts-of.ts'

let database: TestDatabase
beforeAll(async () => {
  database = await freshDatabase()
})
afterAll(() => database.drop())

describe('sources', () => {
  it('that are registered are in good standing unless an entry says otherwise', async () => {
    const small = await sent(database, 'standing', (season) => {
      season.cut('lot')
      season.cut('other', { sourceId: season.id('nobody registered this') })
    })
    const reasons = async (lot: string) =>
      (await judgementOf(database, small, lot)).reasons.map((reason) => reason.code)
    expect(await reasons('lot')).not.toContain('source.standing_unknown')
    expect(await reasons('other')).toContain('source.standing_unknown')
  })

  it('include the block that a source vine stands in, from a day in the zone on', async () => {
    const small = await sent(database, 'suspended', (season) => {
      season.source('vine', { level: 'vine', parentSourceId: season.id('source') })
      season.cut('lot', { sourceId: season.id('vine') })
      season.add('source.standing_changed', {
        sourceId: season.id('source'),
        standing: 'suspended',
        effectiveFrom: '2027-01-10',
        reason: 'inspection',
      })
    })
    const lot = await factsOf(database, small, 'lot')
    expect(lot.sources.map((source) => source.sourceId).sort()).toEqual(
      [small.id('source'), small.id('vine')].sort(),
    )
    expect(await judgementOf(database, small, 'lot')).toMatchObject({ verdict: 'stop' })
    const source = lot.sources.find(({ sourceId }) => sourceId === small.id('source'))
    expect(iso(source?.standings.at(-1)?.fromAt ?? 0)).toBe('2027-01-10T00:00:00.000Z')
  })

  it('of mixed wood are judged each by the day of its own cut', async () => {
    const small = await sent(database, 'mixed', (season) => {
      season.source('later source')
      season.cut('first')
      season.wait(24 * 10)
      season.cut('second', { sourceId: season.id('later source') })
      season.add('source.standing_changed', {
        sourceId: season.id('later source'),
        standing: 'withdrawn',
        effectiveFrom: '2027-01-15',
        reason: 'grubbed up',
      })
      season.combine('mixture', ['first', 'second'])
    })
    const lot = await factsOf(database, small, 'mixture')
    const first = small.entries.find(({ kind }) => kind === 'lot.cut')
    expect(iso(lot.cutAt)).toBe(first?.occurredAt)
    const codes = (await judgementOf(database, small, 'mixture')).reasons.map(
      (reason) => reason.code,
    )
    expect(codes).toContain('source.withdrawn_at_cut')
  })

  it('are told unknown for wood that came in without one, and its age with it', async () => {
    const small = await sent(database, 'came in', (season) => {
      season.add('lot.received', {
        lotId: season.id('lot'),
        reference: 'came in 1',
        ...season.identity(),
        supplierId: season.id('supplier'),
        supplierReference: null,
        passportCode: null,
        sourceId: null,
        unit: 'stick',
        count: 50,
        bundles: [],
        to: { kind: 'place', id: season.id('room') },
        note: '',
      })
    })
    const lot = await factsOf(database, small, 'lot')
    expect(lot).toMatchObject({ originUnknown: true, cutAt: null, sources: [] })
    expect(iso(lot.receivedAt)).toBe(small.entries.at(-1)?.occurredAt)
  })
})

describe('the plan of the row', () => {
  it('is that of the position and the season, the latest first', async () => {
    const small = await sent(database, 'plan', (season) => {
      season.cut('lot')
      const plan = (from: number, to: number, year: number, variety: string) =>
        season.add('row.planned', {
          rowId: season.id('row'),
          fromPosition: from,
          toPosition: to,
          season: year,
          varietyId: season.id(variety),
          clone: null,
          class: 'certified',
          method: null,
          budsPerVine: 2,
        })
      plan(1, 50, 2026, 'last year')
      plan(1, 50, 2027, 'changed')
      plan(1, 50, 2027, 'variety')
      plan(51, 60, 2027, 'other')
    })
    const planned = async (position: number | null) => {
      const row = { rowId: small.id('row'), position }
      return (await factsOf(database, small, 'lot', { row })).plan
    }
    expect(await planned(50)).toEqual({
      rowId: small.id('row'),
      varietyId: small.id('variety'),
      clone: null,
      scheme: 'EU',
      minimumClass: 'certified',
    })
    expect((await planned(51))?.varietyId).toBe(small.id('other'))
    expect((await planned(null))?.varietyId).toBe(small.id('variety'))
    expect(await planned(61)).toBeNull()
    expect((await factsOf(database, small, 'lot')).plan).toBeNull()
  })
})

describe('the tag that was scanned', () => {
  it.each([
    ['spoiled', 'spoiled'],
    ['replaced', 'ended'],
  ])('that was %s is told as %s', async (how, state) => {
    const code = how === 'spoiled' ? 'ABCDEFGH001' : 'ABCDEFGH002'
    const small = await sent(database, `tag ${how}`, (season) => {
      season.cut('lot')
      const thing = { kind: 'lot' as const, id: season.id('lot') }
      season.add('tag.bound', { code, thing })
      if (how === 'spoiled') season.add('tag.spoiled', { code, reason: 'torn' })
      else {
        const newCode = 'ABCDEFGH003'
        season.add('tag.replaced', { oldCode: code, newCode, thing, reason: 'faded' })
      }
    })
    expect((await factsOf(database, small, 'lot', { code })).tag).toEqual({ code, state })
  })
})
