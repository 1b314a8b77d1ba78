// What is exported stands before outside judges, says what was recorded, and keeps its ids.
import { createHash } from 'node:crypto'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import type { Entry } from '#wire/entry.ts'
import { makeDocument } from '../../api/exchange/document.ts'
import type { EpcisDocument, EpcisEvent } from '../../api/exchange/epcis-shape.ts'
import { eventHashId } from '../../api/exchange/event-hash.ts'
import { exportSpan, exportThing } from '../../api/exchange/export.ts'
import { declaredPrefixes, fourRules } from '../../api/exchange/four-rules.ts'
import { BIZ_STEPS, DISPOSITIONS } from '../../api/exchange/terms.ts'
import { ingest } from '../../api/journal/ingest.ts'
import { deviceApp } from '../sync/device-app.ts'
import type { DeviceApp } from '../sync/device-app.ts'
import { randomSeason } from '../sim/season.ts'
import { troubledSeason } from '../sim/troubled-season.ts'
import { expanded, schemaBytes, schemaProblem } from './outside-checks.ts'
import { nurseryDraft } from './nursery.ts'

const now = new Date('2027-06-01T12:00:00Z')
let api: DeviceApp
let entries: Entry[]
let whole: EpcisDocument

beforeAll(async () => {
  api = await deviceApp(now)
  await api.record([nurseryDraft])
  entries = [...randomSeason(61, 350), ...troubledSeason(62, 350)]
  for (const device of new Set(entries.map((entry) => entry.device))) {
    const own = entries.filter((entry) => entry.device === device)
    await ingest(api.services.db, device, own)
  }
  whole = await wholeJournal()
}, 120_000)
afterAll(() => api.drop())

async function wholeJournal(): Promise<EpcisDocument> {
  const { db } = api.services
  const first = await exportSpan(db, { from: 0, limit: 1000 }, now)
  expect(first['cm:journalNext']).toBeGreaterThan(600)
  return first
}

const eventsIn = (document: EpcisDocument): EpcisEvent[] => document.epcisBody.eventList
const ofEntry = (id: string) => eventsIn(whole).filter((event) => event['cm:entryId'] === id)

describe('the schema of the standard', () => {
  it('is the one that the checks were made with', () => {
    expect(schemaBytes.length).toBe(55_077)
    expect(createHash('sha256').update(schemaBytes).digest('hex')).toBe(
      '70b7ecb60eb605c6edd230761557763e4d470333510d28619291476de635bf20',
    )
  })

  it('takes the export of a random season, and our four rules do', () => {
    expect(eventsIn(whole).length).toBeGreaterThan(300)
    expect(schemaProblem(whole)).toBeNull()
    expect(fourRules(whole)).toEqual([])
  })

  it('would refuse it with another step, an event without its time, or a stray word', () => {
    const [event] = eventsIn(whole)
    const spoilt = (change: object) => ({ ...whole, epcisBody: { eventList: [change] } })
    expect(schemaProblem(spoilt({ ...event, bizStep: 'grafting' }))).not.toBeNull()
    expect(schemaProblem(spoilt({ ...event, eventTime: undefined }))).not.toBeNull()
    expect(schemaProblem(spoilt({ ...event, clone: '12' }))).not.toBeNull()
  })

  it('lets through what our four rules name, each at its place', () => {
    const [event] = eventsIn(whole).filter((one) => 'quantityList' in one)
    const list = [{ epcClass: 'https://vines.example/id/lot/x/stick', quantity: -3, uom: 'ZZ' }]
    const bad = {
      ...whole,
      schemaVersion: '1.2',
      epcisBody: { eventList: [{ ...event, quantityList: list, 'other:word': 1 }] },
    }
    expect(schemaProblem(bad)).toBeNull()
    expect(fourRules(bad).map(({ field }) => field)).toEqual([
      'schemaVersion',
      'epcisBody.eventList.0.quantityList.0.quantity',
      'epcisBody.eventList.0.quantityList.0.uom',
      'epcisBody.eventList.0.other:word',
    ])
  })
})

describe('JSON-LD', () => {
  it('expands in safe mode with nothing dropped, our own words under the own host', async () => {
    const text = JSON.stringify(await expanded(whole))
    expect(text).toContain('https://vines.example/ns/canemark/1/entryId')
    expect(text).toContain('https://ref.gs1.org/cbv/BizStep-commissioning')
    expect(text).not.toContain('"cm:')
  }, 60_000)

  it('would not expand with a word that no context declares', async () => {
    await expect(expanded({ ...whole, stray: 'word' })).rejects.toThrow()
  })
})

describe('every event', () => {
  it('uses steps and dispositions of the standard, and comes from an entry', () => {
    const known = new Set(entries.map(({ id }) => id))
    for (const event of eventsIn(whole)) {
      expect(BIZ_STEPS).toContain(event.bizStep)
      if (event.disposition !== undefined) expect(DISPOSITIONS).toContain(event.disposition)
      expect(known).toContain(event['cm:entryId'])
    }
    expect(new Set(BIZ_STEPS).size).toBe(41)
    expect(new Set(DISPOSITIONS).size).toBe(33)
  })

  it('has the id that follows from it, one that no other event has', () => {
    const prefixes = declaredPrefixes(whole)
    const first = eventsIn(whole).filter((event) => event.errorDeclaration === undefined)
    for (const event of first) expect(event.eventID).toBe(eventHashId(event, prefixes))
    expect(new Set(first.map(({ eventID }) => eventID)).size).toBe(first.length)
  })

  it('keeps its id when a name is corrected afterwards, and in a document of its lot', async () => {
    const cut = entries.find((entry) => entry.kind === 'lot.cut')
    if (cut?.kind !== 'lot.cut') throw new Error('a season cuts lots')
    const { lotId, varietyId } = cut.body
    const body = { varietyId, name: 'Riesling', synonyms: [], use: 'scion' as const }
    await api.record([{ kind: 'variety.registered', body }])
    const alone = await exportThing(api.services.db, { kind: 'lot', id: lotId }, now)
    expect(schemaProblem(alone)).toBeNull()
    const known = new Set(eventsIn(whole).map(({ eventID }) => eventID))
    expect(eventsIn(alone).filter(({ eventID }) => !known.has(eventID))).toEqual([])
    expect(JSON.stringify(alone['cm:names'])).toContain('Riesling')
  }, 60_000)

  it('names no person', async () => {
    const text = JSON.stringify(whole)
    expect(text).not.toContain(api.person.name)
    expect(text).not.toContain('cm:person')
  })
})

describe('what is told', () => {
  it('is every cut with its sticks, its source and its bundles', () => {
    const cuts = entries.filter((entry) => entry.kind === 'lot.cut')
    expect(cuts.length).toBeGreaterThan(5)
    for (const { id, body } of cuts) {
      const [made, ...tied] = ofEntry(id).filter((event) => !event.errorDeclaration)
      expect(made).toMatchObject({
        type: 'ObjectEvent',
        action: 'ADD',
        quantityList: [{ quantity: body.sticks }],
        readPoint: { id: `https://vines.example/id/source/${body.sourceId}` },
      })
      expect(tied.map(({ type }) => type)).toEqual(body.bundles.map(() => 'AggregationEvent'))
    }
  })

  it('is of a withdrawn entry the same event with an error declaration (invariant 10)', () => {
    const withdrawn = entries.flatMap((entry) =>
      entry.kind === 'entry.withdrawn' ? [entry.body.entryId] : [],
    )
    const cases = withdrawn.filter((id) => ofEntry(id).length > 0)
    expect(cases.length).toBeGreaterThan(3)
    for (const id of cases) {
      const told = ofEntry(id)
      const wrong = told.filter((event) => event.errorDeclaration !== undefined)
      const plain = told.filter((event) => event.errorDeclaration === undefined)
      const idsOf = (events: EpcisEvent[]) => new Set(events.map(({ eventID }) => eventID))
      expect(idsOf(wrong)).toEqual(idsOf(plain))
    }
  })

  it('names the event that came in the place of a withdrawn one', async () => {
    const lotId = '0195a7c0-0000-7000-8000-0000000000a1'
    const cut = entries.find((entry) => entry.kind === 'lot.cut')
    if (cut?.kind !== 'lot.cut') throw new Error('a season cuts lots')
    const body = { ...cut.body, lotId, bundles: [] }
    const [wrong = ''] = await api.record([{ kind: 'lot.cut', body }])
    const reason = 'counted wrong'
    await api.record([
      { kind: 'lot.cut', body: { ...body, sticks: body.sticks + 1 } },
      { kind: 'entry.withdrawn', body: { entryId: wrong, reason } },
    ])
    const told = eventsIn(await exportThing(api.services.db, { kind: 'lot', id: lotId }, now))
    const declared = told.find((event) => event.errorDeclaration !== undefined)
    const better = told.find(
      (event) =>
        'epcList' in event &&
        event.epcList?.[0]?.endsWith(lotId) === true &&
        event['cm:entryId'] !== wrong,
    )
    expect(better).toMatchObject({ quantityList: [{ quantity: body.sticks + 1 }] })
    expect(declared?.errorDeclaration).toMatchObject({
      reason: 'incorrect_data',
      correctiveEventIDs: [better?.eventID],
      'cm:reason': reason,
    })
  }, 60_000)

  it('counts what is not told, and every other entry of the span is told', () => {
    const notTold = whole['cm:notTold'] as { 'cm:kind': string; 'cm:count': number }[]
    const kinds = new Set(notTold.map((line) => line['cm:kind']))
    const silent = entries.filter(({ id, kind }) => {
      return !kinds.has(kind) && kind !== 'entry.withdrawn' && ofEntry(id).length === 0
    })
    expect(silent.filter(({ kind }) => kind !== 'graft.removed')).toEqual([])
  })
})

describe('a document', () => {
  it('is refused while the nursery has no host, with what to do', async () => {
    const other = await deviceApp(now)
    try {
      const about = { id: '0195a7c0-0000-7000-8000-000000000001', now, words: {} }
      await expect(makeDocument(other.services.db, [], about)).rejects.toThrow(/under Nursery/)
    } finally {
      await other.drop()
    }
  }, 60_000)

  it('tells a block with its grafts as buds that are put on a vine', async () => {
    const row = entries.find((entry) => entry.kind === 'row.laid_out')
    if (row?.kind !== 'row.laid_out') throw new Error('a season lays rows out')
    const { blockId } = row.body
    const told = await exportThing(api.services.db, { kind: 'block', id: blockId }, now)
    expect(schemaProblem(told)).toBeNull()
    const grafts = eventsIn(told).filter(({ bizStep }) => bizStep === 'installing')
    expect(grafts.length).toBeGreaterThan(10)
    expect(grafts[0]).toMatchObject({ type: 'AssociationEvent', action: 'ADD' })
  }, 60_000)
})
