// A server that was set back to an older backup gets from the phone what it has lost.
import 'fake-indexeddb/auto'
import { sql } from 'kysely'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { LivePhone } from '../../../scanner/live-phone.ts'
import { noSnapshot } from '../../../scanner/no-snapshot.ts'
import { KEPT_MS, letGo } from '../../../scanner/queue/outbox.ts'
import { openStore } from '../../../scanner/queue/store.ts'
import { beginEnrolment } from '../../../api/people/enrolment.ts'
import { confirmDevice } from '../../../api/people/devices.ts'
import { newId } from '../../../api/platform/clock.ts'
import type { Database } from '../../../db/connect.ts'
import { officeApp } from '../../office-app.ts'
import type { OfficeApp } from '../../office-app.ts'
import { blockDraft } from './phone-driver.ts'
import { plainWorld } from './plain-world.ts'

let before: OfficeApp
let restored: OfficeApp
beforeAll(async () => {
  ;[before, restored] = await Promise.all([officeApp(), officeApp()])
})
afterAll(async () => {
  await Promise.all([before.drop(), restored.drop()])
})

const storeName = 'a phone that outlives a server'

async function idsAt(db: Database, deviceId: string): Promise<string[]> {
  const rows = await sql<{ id: string }>`
    select id from entry where device_id = ${deviceId} order by device_counter`.execute(db)
  return rows.rows.map(({ id }) => id)
}

describe('invariant 1: acknowledged entries outlive a restore from a backup', () => {
  it('are kept fourteen days, and sent again as soon as the server misses one', async () => {
    let server = before
    let isAway = false
    const fetch = (path: string, init: RequestInit) =>
      isAway
        ? Promise.reject(new TypeError('no network'))
        : Promise.resolve(server.app.request(path, init))
    const phone = await LivePhone.open(plainWorld({ storeName, fetch }), noSnapshot)
    const { db, deskDeviceId } = before.services
    const desk = { deviceId: deskDeviceId, personId: before.person.personId, now: new Date() }
    const given = { deviceName: 'Phone 1', madeBy: before.person.personId, now: new Date() }
    const answer = await phone.enrol((await beginEnrolment(db, given)).code)
    if (answer.result !== 'enrolled') throw new Error(answer.result)
    const { deviceId } = answer.identity
    await confirmDevice(db, desk, deviceId)
    await phone.change({ personId: newId() })
    const written = []
    for (let nr = 1; nr <= 3; nr += 1) written.push((await phone.write(blockDraft(nr))).id)
    await phone.sync()
    expect(await idsAt(db, deviceId)).toEqual(written)

    isAway = true
    written.push((await phone.write(blockDraft(4))).id)
    await phone.sync()
    expect(phone.unsent.state).toBe('no network')
    // The backup is from before the three: it knows the device, and others have written since.
    const device = await db
      .selectFrom('device')
      .selectAll()
      .where('device_id', '=', deviceId)
      .executeTakeFirstOrThrow()
    await restored.services.db
      .insertInto('device')
      .values({ ...device, last_number: 0, last_body_hash: null })
      .execute()
    const other = { blockId: newId(), name: 'Written since', note: '' }
    for (let nr = 0; nr < 9; nr += 1) {
      await restored.record([{ kind: 'block.registered', body: { ...other, blockId: newId() } }])
    }
    server = restored
    isAway = false
    await phone.sync()
    expect(await idsAt(restored.services.db, deviceId)).toEqual(written)
    expect(phone.unsent.count).toBe(0)

    const store = await openStore(storeName)
    const soon = Date.now() + KEPT_MS - 60_000
    expect(await letGo(store, soon, Number.MAX_SAFE_INTEGER)).toBe(0)
    const late = Date.now() + KEPT_MS + 60_000
    expect(await letGo(store, late, 0)).toBe(0)
    expect(await letGo(store, late, Number.MAX_SAFE_INTEGER)).toBe(4)
    store.close()
    phone.close()
  })
})
