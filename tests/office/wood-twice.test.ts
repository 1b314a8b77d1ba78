// A form sent twice at the same moment, or by two people, is recorded once.
import { sql } from 'kysely'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { ingest } from '../../api/journal/ingest.ts'
import { newId } from '../../api/platform/clock.ts'
import { positionKey } from '../../api/store/positions.ts'
import { EntryWriter, seeded } from '../sim/season.ts'
import { officeApp } from '../office-app.ts'
import type { OfficeApp } from '../office-app.ts'
import { bodiesOf, pageAt, plainText, recordedSoFar } from './form-answers.ts'
import { recordLot, recordScene, sceneNow } from './wood-scene.ts'
import type { Scene } from './wood-scene.ts'

let office: OfficeApp
let scene: Scene
beforeAll(async () => {
  office = await officeApp(sceneNow)
  scene = await recordScene(office)
})
afterAll(() => office.drop())

/** Sends a form three times at once; returns how many entries it made and what was refused. */
async function sendThrice(path: string, fields: Record<string, string | string[]>) {
  const before = await recordedSoFar(office)
  const answers = await Promise.all([1, 2, 3].map(() => office.post(path, fields)))
  const pages = await Promise.all(
    answers.map(async (answer) => (answer.status === 303 ? '' : plainText(await answer.text()))),
  )
  const after = await recordedSoFar(office)
  return {
    statuses: answers.map(({ status }) => status).sort(),
    entries: after.entries - before.entries,
    refused: pages.filter((page) => page !== ''),
  }
}

describe('a form sent three times at once', () => {
  it('cuts one lot', async () => {
    const fields = {
      reference: '27-100',
      sourceId: scene.source,
      material: 'scion wood',
      harvestYear: '2026',
      budsPerStick: '6',
      sticks: '50',
      to: `place ${scene.room}`,
    }
    const sent = await sendThrice('/lots/cut', fields)
    expect(sent).toMatchObject({ statuses: [303, 422, 422], entries: 1 })
    for (const page of sent.refused) expect(page).toContain('another lot’s reference')
  })

  it('moves wood once', async () => {
    const { lotId } = await recordLot(office, scene, '27-001', { bundles: [] })
    const wood = positionKey(lotId, null, { kind: 'place', id: scene.room })
    const fields = { wood, [`sticks-${wood}`]: '200', placeId: scene.shed }
    const sent = await sendThrice(`/lots/${lotId}/move`, fields)
    expect(sent).toMatchObject({ statuses: [303, 422, 422], entries: 1 })
  })

  it('fills a tank, registers a place and places a hold once', async () => {
    const fill = { placeId: scene.tank, water: 'well' }
    expect(await sendThrice('/soak/fill', fill)).toMatchObject({ entries: 1 })
    const place = { name: 'Bin 9', placeKind: 'bin', insidePlaceId: scene.rack }
    expect(await sendThrice('/store/register', place)).toMatchObject({ entries: 1 })
    const hold = { on: `place ${scene.shed}`, agent: '', reason: 'a leak' }
    expect(await sendThrice('/custody/holds/place', hold)).toMatchObject({ entries: 1 })
  })

  it('splits and discards no more than there is', async () => {
    const { lotId } = await recordLot(office, scene, '27-002', { bundles: [] })
    const split = { unit: 'stick', part1Reference: '27-050', part1Count: '150', reason: 'sorted' }
    expect(await sendThrice(`/lots/${lotId}/split`, split)).toMatchObject({ entries: 1 })
    const wood = positionKey(lotId, null, { kind: 'place', id: scene.room })
    const discard = { wood, [`sticks-${wood}`]: '60', reason: 'dry' }
    expect(await sendThrice(`/lots/${lotId}/discard`, discard)).toMatchObject({ entries: 1 })
    expect(plainText(await pageAt(office, `/lots/${lotId}`))).toMatch(/Cold room loose 30 sticks/)
  })
})

it('what the desk refuses is kept when a device reports that it was done', async () => {
  const { lotId } = await recordLot(office, scene, '27-003', { bundles: [] })
  const body = { holdId: newId(), on: { kind: 'lot' as const, id: lotId }, agent: null }
  await office.record([{ kind: 'hold.placed', body: { ...body, reason: 'doubt' } }])
  const wood = positionKey(lotId, null, { kind: 'place', id: scene.room })
  const fields = { wood, toHolderId: scene.crew }
  expect((await office.post(`/lots/${lotId}/hand-over`, fields)).status).toBe(422)
  const phone = new EntryWriter(seeded(7), '2027-02-10T11:00:00Z', 'phone of the crew')
  const entry = phone.add('wood.handed_over', {
    wood: { lotId, bundleId: null, unit: 'stick', count: 500 },
    from: { kind: 'place', id: scene.room },
    toHolderId: scene.crew,
    note: 'more than there was, and on hold',
  })
  const [result] = await ingest(office.services.db, entry.device, [entry])
  expect(result?.result).toBe('recorded')
  expect(plainText(await pageAt(office, `/lots/${lotId}`))).toContain('more than there was')
})

it('every entry that the desk wrote is well formed: none was set aside', async () => {
  expect((await bodiesOf(office, 'lot.cut')).length).toBeGreaterThan(0)
  const rows = await sql<{ aside: number }>`select count(*)::int as aside from set_aside`.execute(
    office.database.owner.db,
  )
  expect(rows.rows).toEqual([{ aside: 0 }])
})
