// The office can take a document in and take documents away.
import { EPCIS_BYTE_LIMIT } from '#wire/api-epcis.ts'
import { sendFile } from '../office/send-file.ts'
import { afterAll, beforeAll, expect, it } from 'vitest'
import { deviceApp } from '../sync/device-app.ts'
import type { DeviceApp } from '../sync/device-app.ts'
import { exportSpan } from '../../api/exchange/export.ts'
import { ingest } from '../../api/journal/ingest.ts'
import { EntryWriter, idOf, seeded } from '../sim/season.ts'
import { nurseryDraft } from './nursery.ts'
import { schemaProblem } from './outside-checks.ts'

let api: DeviceApp
beforeAll(async () => {
  api = await deviceApp()
  await api.record([nurseryDraft])
}, 60_000)
afterAll(() => api.drop())

it('takes the journal away as a document that the schema of the standard takes', async () => {
  const page = await (await api.app.request('/exchange')).text()
  expect(page).toContain('/exchange/span/0')
  const answer = await api.app.request('/exchange/span/0')
  expect(answer.headers.get('content-disposition')).toContain('entries-0.jsonld')
  expect(schemaProblem(await answer.json())).toBeNull()
})

it('says at the form why a document is not taken in, and keeps what was typed', async () => {
  const fields = { supplierId: idOf('none'), placeId: idOf('none'), document: '{"type": "x' }
  const answer = await api.post('/exchange', fields)
  expect(answer.status).toBe(422)
  const page = await answer.text()
  expect(page).toContain('this is not JSON')
  expect(page).toContain('{&quot;type&quot;: &quot;x')
})

it('links each lot and each block to its own document once there is a host', async () => {
  const [blockId, lotId] = [idOf('a block here'), idOf('a lot here')]
  const writer = new EntryWriter(seeded(3), '2027-01-20T08:00:00+01:00', 'links')
  writer.add('block.registered', { blockId, name: 'Gravel', note: '' })
  writer.add('lot.cut', cutOf({ lotId, reference: '27-100', sticks: 10 }))
  await ingest(api.services.db, writer.entries[0]?.device ?? '', writer.entries)
  for (const [page, link] of [
    [`/blocks/${blockId}`, `/exchange/block/${blockId}`],
    [`/lots/${lotId}`, `/exchange/lot/${lotId}`],
  ] as const) {
    expect(await (await api.app.request(page)).text()).toContain(`href="${link}"`)
    expect((await api.app.request(link)).status).toBe(200)
  }
  const bare = await deviceApp()
  await ingest(bare.services.db, writer.entries[0]?.device ?? '', writer.entries)
  const page = await (await bare.app.request(`/blocks/${blockId}`)).text()
  await bare.drop()
  expect(page).toContain('Gravel')
  expect(page).not.toContain('/exchange/block/')
})

it('says of a document taken in what was not taken, what was left out, and why', async () => {
  const [supplierId, placeId] = [idOf('supplier'), idOf('cold room')]
  await api.record([
    {
      kind: 'party.registered',
      body: {
        partyId: supplierId,
        name: 'Hill',
        role: 'supplier',
        ...{ registrationNumber: null, note: '' },
      },
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
    {
      kind: 'variety.registered',
      body: { varietyId: idOf('here'), name: 'Ruvello', synonyms: [], use: 'scion' },
    },
  ])
  const document = JSON.stringify(await documentOfParts())
  const send = () => api.post('/exchange', { supplierId, placeId, document })
  const page = await (await send()).text()
  expect(page).toContain('2 lots taken in, 0 there before, 1 not taken.')
  expect(page).toContain('Lots that were not taken in')
  expect(page).toContain('other lots are made of it in this document')
  expect(page).toContain('Events that were read and tell nothing that is taken in')
  expect(page).toContain('27-201')
  const again = await (await send()).text()
  expect(again).toContain('0 lots taken in, 2 there before, 1 not taken.')
  const file = { name: 'delivery.jsonld', bytes: Buffer.from(document) }
  const fromFile = await sendFile(api, '/exchange', file, { supplierId, placeId, document: '' })
  expect(fromFile.page).toContain('0 lots taken in, 2 there before, 1 not taken.')
  const long = { name: 'long.jsonld', bytes: Buffer.alloc(EPCIS_BYTE_LIMIT + 1, ' ') }
  const refused = await sendFile(api, '/exchange', long, { supplierId, placeId, document: '' })
  expect(refused.status).toBe(422)
  expect(refused.page).toContain('tell it in parts')
})

/** What another nursery tells: a lot that was parted in two, and a row that was laid out. */
async function documentOfParts() {
  const sender = await deviceApp()
  try {
    await sender.record([
      nurseryDraft,
      {
        kind: 'variety.registered',
        body: { varietyId: idOf('there'), name: 'Ruvello', synonyms: [], use: 'scion' },
      },
    ])
    const writer = new EntryWriter(seeded(4), '2027-01-20T08:00:00+01:00', 'parts')
    const parent = idOf('parent lot')
    const room = { kind: 'place' as const, id: idOf('room there') }
    writer.add('lot.cut', cutOf({ lotId: parent, reference: '27-200', sticks: 100 }))
    writer.add('lot.split', {
      ...identity,
      parentLotId: parent,
      parentBundleId: null,
      from: room,
      parts: ['27-201', '27-202'].map((reference) => ({
        lotId: idOf(reference),
        reference,
        unit: 'stick' as const,
        count: 50,
        bundles: [],
      })),
      reason: 'for two crews',
    })
    const wood = { lotId: idOf('27-201'), bundleId: null, unit: 'stick' as const, count: 5 }
    writer.add('wood.discarded', { wood, from: room, reason: 'dry' })
    await ingest(sender.services.db, writer.entries[0]?.device ?? '', writer.entries)
    return await exportSpan(sender.services.db, { from: 0, limit: 1000 }, new Date())
  } finally {
    await sender.drop()
  }
}

const identity = {
  material: 'scion wood' as const,
  varietyId: idOf('there'),
  clone: null,
  scheme: null,
  class: null,
  harvestYear: 2026,
  budsPerStick: 6,
}

function cutOf(lot: { lotId: string; reference: string; sticks: number }) {
  return {
    ...identity,
    ...lot,
    sourceId: idOf('a source there'),
    bundles: [],
    to: { kind: 'place' as const, id: idOf('room there') },
    note: '',
  }
}
