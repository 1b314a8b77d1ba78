// Lots that a document brings come in whole or not at all, and what we export can be taken in.
import { afterEach, beforeAll, beforeEach, describe, expect, it } from 'vitest'
import type { Entry } from '#wire/entry.ts'
import type { EpcisTakenShape } from '#wire/api-epcis.ts'
import { exportSpan } from '../../api/exchange/export.ts'
import type { EpcisDocument, EpcisEvent } from '../../api/exchange/epcis-shape.ts'
import { ingest } from '../../api/journal/ingest.ts'
import type { FieldProblem } from '../../api/platform/errors.ts'
import { hashToken, newToken } from '../../api/platform/token.ts'
import { deviceApp } from '../sync/device-app.ts'
import type { DeviceApp } from '../sync/device-app.ts'
import { EntryWriter, idOf, randomSeason, seeded } from '../sim/season.ts'
import { nurseryDraft } from './nursery.ts'

const now = new Date('2027-06-01T12:00:00Z')
const supplierId = idOf('the supplier')
const placeId = idOf('the cold room')
const customerId = idOf('the customer')

/** A document of everything that a nursery with these entries recorded. */
async function exported(entries: Entry[], varieties: [string, string][]): Promise<EpcisDocument> {
  const sender = await deviceApp(now)
  try {
    await sender.record([
      nurseryDraft,
      ...varieties.map(([varietyId, name]) => ({
        kind: 'variety.registered' as const,
        body: { varietyId, name, synonyms: [], use: 'both' as const },
      })),
      {
        kind: 'party.registered',
        body: {
          partyId: customerId,
          name: 'Lower farm',
          role: 'customer',
          registrationNumber: null,
          note: '',
        },
      },
    ])
    for (const device of new Set(entries.map((entry) => entry.device))) {
      const own = entries.filter((entry) => entry.device === device)
      await ingest(sender.services.db, device, own)
    }
    return await exportSpan(sender.services.db, { from: 0, limit: 1000 }, now)
  } finally {
    await sender.drop()
  }
}

type Made = Omit<Entry<'lot.split'>['body']['parts'][number], 'bundles' | 'unit'> &
  Pick<Entry<'lot.cut'>['body'], 'material' | 'clone' | 'class' | 'harvestYear' | 'budsPerStick'>

const lotId = idOf('lot one')
const riesling: [string, string] = [idOf('riesling there'), 'Riesling']

/** A lot is cut with two bundles, stored, and 60 of its 100 sticks go to a customer. */
function smallSeason(handedOver: boolean): Entry[] {
  const writer = new EntryWriter(seeded(7), '2027-01-20T08:00:00+01:00', 'small')
  const by = { device: idOf('phone'), person: idOf('person'), minutesLater: 5 }
  const room = { kind: 'place' as const, id: idOf('their room') }
  writer.add(
    'lot.cut',
    {
      lotId,
      reference: '27-004',
      material: 'scion wood',
      varietyId: riesling[0],
      clone: '12',
      scheme: 'EU',
      class: 'certified',
      harvestYear: 2026,
      budsPerStick: 6,
      sourceId: idOf('their source'),
      sticks: 100,
      bundles: [1, 2].map((nr) => ({ bundleId: idOf(`bundle ${nr}`), unit: 'stick', count: 50 })),
      to: room,
      note: '',
    },
    by,
  )
  if (handedOver) {
    const wood = { lotId, bundleId: null, unit: 'stick' as const, count: 60 }
    writer.add('wood.handed_over', { wood, from: room, toHolderId: customerId, note: '' }, by)
  }
  return writer.entries
}

let small: EpcisDocument
let delivered: EpcisDocument
let random: EpcisDocument
let season: Entry[]
beforeAll(async () => {
  small = await exported(smallSeason(false), [riesling])
  delivered = await exported(smallSeason(true), [riesling])
  season = randomSeason(71, 300)
  const ids = new Set(season.flatMap((one) => (one.kind === 'lot.cut' ? one.body.varietyId : [])))
  const names = [...ids].map((id, nr): [string, string] => [id, `Variety ${'ABC'[nr] ?? ''}`])
  random = await exported(season, names)
}, 180_000)

let api: DeviceApp
beforeEach(async () => {
  api = await deviceApp(now)
  const partyId = supplierId
  await api.record([
    {
      kind: 'party.registered',
      body: { partyId, name: 'Hillfoot', role: 'supplier', registrationNumber: null, note: '' },
    },
    {
      kind: 'place.registered',
      body: {
        placeId,
        name: 'Cold room',
        placeKind: 'room',
        insidePlaceId: null,
        cooled: true,
        note: '',
      },
    },
    ...['Riesling', 'Variety A', 'Variety B', 'Variety C'].map((name) => ({
      kind: 'variety.registered' as const,
      body: { varietyId: idOf(`${name} here`), name, synonyms: [], use: 'both' as const },
    })),
  ])
}, 60_000)
afterEach(() => api.drop())

const query = `supplierId=${supplierId}&placeId=${placeId}`

async function send(document: unknown, asked = query): Promise<Response> {
  return api.app.request(`/api/epcis?${asked}`, {
    method: 'POST',
    body: JSON.stringify(document),
    headers: { authorization: `Bearer ${api.device.token}`, 'content-type': 'application/json' },
  })
}

async function taken(document: unknown): Promise<EpcisTakenShape> {
  const answer = await send(document)
  expect(answer.status, await answer.clone().text()).toBe(200)
  return (await answer.json()) as EpcisTakenShape
}

async function refused(document: unknown, asked?: string): Promise<FieldProblem[]> {
  const answer = await send(document, asked)
  expect(answer.status, await answer.clone().text()).toBe(422)
  expect(await lots()).toEqual([])
  return ((await answer.json()) as { fields: FieldProblem[] }).fields
}

const lots = () => api.services.db.selectFrom('lot').selectAll().orderBy('reference').execute()

const withEvents = (document: EpcisDocument, change: (events: EpcisEvent[]) => EpcisEvent[]) => {
  const eventList = change(structuredClone(document.epcisBody.eventList))
  return { ...document, epcisBody: { eventList } }
}

describe('a document that brings a lot', () => {
  it('makes a received lot of the same identity, count and bundles, by the machine', async () => {
    const { recorded, lots: told } = await taken(small)
    expect(recorded).toBe(1)
    expect(told).toMatchObject([{ lotId, reference: '27-004', unit: 'stick', count: 100 }])
    expect(await lots()).toMatchObject([
      {
        lot_id: lotId,
        reference: '27-004',
        made_by: 'received',
        material: 'scion wood',
        variety_id: idOf('Riesling here'),
        clone: '12',
        scheme: 'EU',
        class: 'certified',
        harvest_year: 2026,
        buds_per_stick: 6,
        supplier_id: supplierId,
      },
    ])
    const bundles = await api.services.db.selectFrom('bundle').selectAll().execute()
    expect(new Set(bundles.map((one) => one.bundle_id))).toEqual(
      new Set([idOf('bundle 1'), idOf('bundle 2')]),
    )
    const entry = await api.services.db
      .selectFrom('entry')
      .select('device_id')
      .where('kind', '=', 'lot.received')
      .executeTakeFirst()
    expect(entry?.device_id).toBe(api.device.deviceId)
  })

  it('records nothing anew when it comes again', async () => {
    await taken(small)
    expect(await taken(small)).toMatchObject({ recorded: 0, alreadyRecorded: 1 })
    expect((await lots()).length).toBe(1)
  })

  it('brings what was shipped to a customer where it says so, and guesses no bundle', async () => {
    const answer = await taken(delivered)
    expect(answer.lots).toMatchObject([{ count: 60 }])
    expect(await api.services.db.selectFrom('bundle').selectAll().execute()).toEqual([])
  })

  it('does not count an event that was declared wrong', async () => {
    const declarationTime = '2027-02-01T00:00:00Z'
    const errorDeclaration = { declarationTime, reason: 'did_not_occur' as const }
    const wrong = withEvents(small, (events) => [
      ...events,
      ...events.map((event) => ({ ...event, errorDeclaration })),
    ])
    expect(await taken(wrong)).toMatchObject({ recorded: 0, lots: [] })
  })
})

describe('what we export of a random season', () => {
  it('comes into an empty nursery as lots of the same identity and count', async () => {
    const answer = await taken(random)
    const withdrawn = new Set(
      season.flatMap((one) => (one.kind === 'entry.withdrawn' ? [one.body.entryId] : [])),
    )
    const standing = season.filter(({ id }) => !withdrawn.has(id))
    const parents = new Set(
      standing.flatMap((one) => {
        if (one.kind === 'lot.split') return [one.body.parentLotId]
        return one.kind === 'lot.combined' ? one.body.parents.map(({ lotId: id }) => id) : []
      }),
    )
    const made = standing.flatMap((one): Made[] => {
      if (one.kind === 'lot.cut') return [{ ...one.body, count: one.body.sticks }]
      if (one.kind === 'lot.split') return one.body.parts.map((part) => ({ ...one.body, ...part }))
      if (one.kind !== 'lot.combined') return []
      return [{ ...one.body, count: one.body.parents.reduce((sum, { count }) => sum + count, 0) }]
    })
    const wanted = made.filter((lot) => !parents.has(lot.lotId))
    expect(wanted.length).toBeGreaterThan(10)
    const order = (list: { lotId: string }[]) =>
      [...list].sort((one, other) => one.lotId.localeCompare(other.lotId))
    expect(
      order(
        answer.lots.map(({ lotId: id, reference, count }) => {
          return { lotId: id, reference, count }
        }),
      ),
    ).toEqual(
      order(
        wanted.map(({ lotId: id, reference, count }) => {
          return { lotId: id, reference, count }
        }),
      ),
    )
    const byId = new Map((await lots()).map((lot) => [lot.lot_id, lot]))
    for (const lot of wanted) {
      expect(byId.get(lot.lotId)).toMatchObject({
        material: lot.material,
        clone: lot.clone,
        class: lot.class,
        harvest_year: lot.harvestYear,
        buds_per_stick: lot.budsPerStick,
      })
    }
  }, 60_000)
})

describe('a document that cannot be taken in leaves nothing behind', () => {
  const first = (change: (event: EpcisEvent) => EpcisEvent) =>
    withEvents(small, (events) => events.map((event, nr) => (nr === 0 ? change(event) : event)))
  const withoutId = (event: EpcisEvent): EpcisEvent =>
    Object.fromEntries(Object.entries(event).filter(([name]) => name !== 'eventID')) as EpcisEvent

  it('when an event was changed on the way', async () => {
    const fields = await refused(first((event) => ({ ...event, 'cm:note': 'other' })))
    expect(fields).toMatchObject([{ field: 'epcisBody.eventList.0.eventID' }])
  })

  it('when one of two lots is not whole', async () => {
    const twice = withEvents(small, ([event, ...rest]) => {
      if (event === undefined || event.type !== 'ObjectEvent') return rest
      const ilmd = { ...event.ilmd, 'cm:reference': '27-005', 'cm:harvestYear': 'last year' }
      const other = 'https://vines.example/id/lot/0195a7c0-0000-7000-8000-0000000000b2'
      const quantityList = [{ epcClass: `${other}/stick`, quantity: 5 }]
      return [
        event,
        ...rest,
        { ...withoutId(event), epcList: [other], quantityList, ilmd } as never,
      ]
    })
    expect(await refused(twice)).toMatchObject([
      { field: 'epcisBody.eventList.3.ilmd.harvestYear' },
    ])
  })

  it('when a variety is not registered here, or nothing says what is new', async () => {
    const unnamed = first((event) => withoutId({ ...event, ilmd: {} } as EpcisEvent))
    expect(await refused(unnamed)).toMatchObject([{ field: 'epcisBody.eventList.0.ilmd' }])
    const names = [
      { 'cm:thing': `https://vines.example/id/variety/${riesling[0]}`, 'cm:name': 'Zz' },
    ]
    const [problem] = await refused({ ...small, 'cm:names': names })
    expect(problem?.message).toMatch(/register it under Nursery/)
  })

  it('when it is of another version, breaks a rule, or is none at all', async () => {
    expect(await refused({ ...small, schemaVersion: '1.2' })).toMatchObject([
      { field: 'schemaVersion' },
    ])
    expect(await refused({ ...small, 'xx:word': 1 })).toMatchObject([{ field: 'xx:word' }])
    expect((await refused({ type: 'EPCISDocument' })).length).toBeGreaterThan(2)
    expect((await send(undefined)).status).toBe(400)
  })

  it('when the supplier or the place is not on record', async () => {
    const asked = `supplierId=${idOf('nobody')}&placeId=${idOf('nowhere')}`
    expect((await refused(small, asked)).map(({ field }) => field)).toEqual([
      'supplierId',
      'placeId',
    ])
  })

  it('when another lot has its reference', async () => {
    await taken(small)
    const other = JSON.stringify(small)
      .replaceAll(lotId, '0195a7c0-0000-7000-8000-0000000000c3')
      .replaceAll(/"eventID":"[^"]*",?/g, '')
    const answer = await send(JSON.parse(other.replaceAll(',}', '}')))
    expect(answer.status).toBe(422)
    expect((await lots()).length).toBe(1)
  })
})

describe('who may bring lots', () => {
  it('is a machine that may write received lots, and nobody without a token', async () => {
    const plain = await api.app.request(`/api/epcis?${query}`, { method: 'POST', body: '{}' })
    expect(plain.status).toBe(401)
    const { deviceId, token } = { deviceId: idOf('grafting machine'), token: newToken() }
    await api.services.db
      .insertInto('device')
      .values({
        device_id: deviceId,
        name: 'Grafting machine',
        token_hash: hashToken(token),
        write_kinds: ['graft.made'],
      })
      .execute()
    api.device = { deviceId, token }
    expect((await send(small)).status).toBe(403)
  })
})
