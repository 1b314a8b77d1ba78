// A phone's photo stands beside its own entry, apart from the journal, and is shown with its vine.
import { createHash } from 'node:crypto'
import { readFileSync } from 'node:fs'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { newApp } from '../../api/app.ts'
import { newId } from '../../api/platform/clock.ts'
import { PHOTO_BYTE_LIMIT, PHOTO_LIMIT } from '#wire/api-photos.ts'
import { SmallSeason } from '../lots/small-season.ts'
import { DeviceClient } from '../people/device-client.ts'
import { deviceApp } from './device-app.ts'
import type { DeviceApp } from './device-app.ts'

const now = new Date('2027-04-01T08:00:00Z')
const picture = new Uint8Array(readFileSync('scanner/icons/icon-192.png'))
const season = new SmallSeason('photos', '2027-03-01T08:00:00Z')
const id = (name: string) => season.id(name)
let api: DeviceApp
let graftId: string
let writer: { deviceId: string; token: string }

beforeAll(async () => {
  api = await deviceApp(now)
  season.source('source')
  season.place('room')
  season.cut('lot')
  season.add('block.registered', { blockId: id('block'), name: 'Upper', note: '' })
  season.row('row', { positionCount: 4 })
  graftId = season.graft('lot', 2).id
  writer = await api.enrol(season.entries[0]?.device)
  await api.push(season.entries, writer)
})
afterAll(() => api.drop())

const send = (entryId: string, bytes: Uint8Array, token = writer.token, type = 'image/png') =>
  api.app.request(`/api/photos/${entryId}`, {
    method: 'POST',
    body: bytes as Uint8Array<ArrayBuffer>,
    headers: { authorization: `Bearer ${token}`, 'content-type': type },
  })

/** A picture of its own, for the last byte differs. */
const other = (nr: number) => Uint8Array.from([...picture, nr])

describe('a photo', () => {
  it('is kept once, however often it is sent, and no entry is made of it', async () => {
    const sizeBefore = await journalSize()
    const sha256 = createHash('sha256').update(picture).digest('hex')
    const first = await send(graftId, picture)
    expect(await first.json()).toEqual({ entryId: graftId, sha256, result: 'kept' })
    const again = await send(graftId, picture)
    expect(await again.json()).toMatchObject({ result: 'already kept' })
    const rows = await api.services.db.selectFrom('photo').select('media_type').execute()
    expect(rows).toEqual([{ media_type: 'image/png' }])
    expect(await journalSize()).toBe(sizeBefore)
  })

  it('is shown on its vine’s page, and on no other vine’s', async () => {
    const sha256 = createHash('sha256').update(picture).digest('hex')
    const path = `/blocks/vines/${id('row')}/2`
    const page = await (await api.app.request(path)).text()
    expect(page).toContain(`${path}/photos/${sha256}`)
    const shown = await api.app.request(`${path}/photos/${sha256}`)
    expect(shown.headers.get('content-type')).toBe('image/png')
    expect(new Uint8Array(await shown.arrayBuffer())).toEqual(picture)
    const elsewhere = await api.app.request(`/blocks/vines/${id('row')}/3/photos/${sha256}`)
    expect(elsewhere.status).toBe(404)
    const nobody = newApp(api.services, async () => null)
    expect((await nobody.request(`${path}/photos/${sha256}`)).status).not.toBe(200)
  })

  it('is taken for what its bytes are, not for what it is said to be', async () => {
    const script = new TextEncoder().encode('<svg onload="alert(1)"></svg>')
    const answer = await send(graftId, script)
    expect(answer.status).toBe(415)
    expect(await answer.json()).toMatchObject({ code: 'not_a_photo' })
    const said = await send(graftId, other(1), writer.token, 'text/html')
    expect(said.status).toBe(200)
    const rows = await api.services.db.selectFrom('photo').select('media_type').execute()
    expect(rows.map((row) => row.media_type)).toEqual(['image/png', 'image/png'])
  })

  it('waits for its entry, and comes from the device that wrote it (invariant 11)', async () => {
    const early = await send(id('no entry yet'), picture)
    expect([early.status, await early.json()]).toMatchObject([404, { code: 'unknown_entry' }])
    const stranger = await send(graftId, picture, api.device.token)
    expect([stranger.status, await stranger.json()]).toMatchObject([403, { code: 'other_device' }])
    expect((await send(graftId, picture, 'no such token')).status).toBe(401)
  })

  it('is no larger than the limit, and there are not too many of one entry', async () => {
    const large = new Uint8Array(PHOTO_BYTE_LIMIT + 1)
    large.set(picture)
    expect((await send(graftId, large)).status).toBe(413)
    for (let nr = 2; nr < PHOTO_LIMIT; nr += 1) {
      expect((await send(graftId, other(nr))).status).toBe(200)
    }
    const more = await send(graftId, other(99))
    expect([more.status, await more.json()]).toMatchObject([422, { code: 'too_many_photos' }])
  })

  it('signed by a phone is taken only with the very bytes that were signed', async () => {
    const phone = await DeviceClient.make(api.app)
    phone.deviceId = newId()
    const publicKey = Buffer.from(phone.publicKey, 'base64url')
    const device = { device_id: phone.deviceId, name: 'Phone', kind: 'phone', confirmed_at: now }
    await api.services.db
      .insertInto('device')
      .values({ ...device, public_key: publicKey })
      .execute()
    const target = `/api/photos/${graftId}`
    const signed = await phone.signed('POST', target, 'no picture', now.getTime() / 1000)
    // Past the signature; the bytes are no picture.
    expect((await phone.send(signed)).status).toBe(415)
    expect((await phone.send({ ...signed, body: 'another picture' })).status).toBe(401)
    const old = await phone.signed('POST', target, 'no picture', now.getTime() / 1000 - 3600)
    expect((await phone.send(old)).status).toBe(401)
  })
})

async function journalSize(): Promise<number> {
  const rows = await api.services.db.selectFrom('entry').select('id').execute()
  return rows.length
}
