// Queues that released versions of the app left on a phone are sent by the present one.
import 'fake-indexeddb/auto'
import { readFile } from 'node:fs/promises'
import { sql } from 'kysely'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { keyAlgorithm } from '#wire/sign.ts'
import { LivePhone } from '../../../scanner/live-phone.ts'
import { noSnapshot } from '../../../scanner/no-snapshot.ts'
import { STORE_VERSION } from '../../../scanner/queue/store.ts'
import type { StoredEntry } from '../../../scanner/queue/store.ts'
import { officeApp } from '../../office-app.ts'
import type { OfficeApp } from '../../office-app.ts'
import { blockDraft } from './phone-driver.ts'
import { plainWorld } from './plain-world.ts'

/** A phone's store as that version left it; the key as it could be written into a file. */
type Fixture = {
  version: number
  identity: { deviceId: string; deviceName: string; publicKey: string; privateKey: JsonWebKey }
  stores: {
    entry: StoredEntry[]
    number: Record<string, number>
    note: Record<string, unknown>
  }
}

let office: OfficeApp
beforeAll(async () => {
  office = await officeApp()
})
afterAll(() => office.drop())

async function fixture(version: number): Promise<Fixture> {
  const file = new URL(`./queue-version-${version}.json`, import.meta.url)
  return JSON.parse(await readFile(file, 'utf8')) as Fixture
}

/** The stores as version 1 made them; written out, for the app's own code has moved on. */
function makeStores(db: IDBDatabase): void {
  const entry = db.createObjectStore('entry', { keyPath: ['device', 'deviceCounter'] })
  entry.createIndex('id', 'id', { unique: true })
  entry.createIndex('state', ['state', 'device', 'deviceCounter'])
  entry.createIndex('journalIndex', 'journalIndex')
  entry.createIndex('answeredAtMs', 'answeredAtMs')
  db.createObjectStore('identity', { keyPath: 'deviceId' })
  db.createObjectStore('number')
  db.createObjectStore('note')
}

async function fillStore(name: string, { version, identity, stores }: Fixture): Promise<void> {
  const { privateKey, ...rest } = identity
  const key = await crypto.subtle.importKey('jwk', privateKey, keyAlgorithm, false, ['sign'])
  const db = await new Promise<IDBDatabase>((resolve, reject) => {
    const request = indexedDB.open(name, version)
    request.onupgradeneeded = () => makeStores(request.result)
    request.onsuccess = () => resolve(request.result)
    request.onerror = () => reject(new Error('the store did not open'))
  })
  const trx = db.transaction(['entry', 'identity', 'number', 'note'], 'readwrite')
  trx.objectStore('identity').put({ ...rest, privateKey: key })
  for (const entry of stores.entry) trx.objectStore('entry').put(entry)
  for (const [at, value] of Object.entries(stores.number)) trx.objectStore('number').put(value, at)
  for (const [at, value] of Object.entries(stores.note)) trx.objectStore('note').put(value, at)
  await new Promise<void>((resolve, reject) => {
    trx.oncomplete = () => resolve()
    trx.onabort = () => reject(new Error('the store could not be filled'))
  })
  db.close()
}

const released = Array.from({ length: STORE_VERSION }, (_, nr) => nr + 1)

describe('invariant 1: entries outlive the version that wrote them', () => {
  it.each(released)('a queue of version %i drains, byte for byte, and goes on', async (version) => {
    const left = await fixture(version)
    const { deviceId, deviceName, publicKey } = left.identity
    const { db } = office.services
    await db
      .insertInto('device')
      .values({
        device_id: deviceId,
        name: deviceName,
        kind: 'phone',
        public_key: Buffer.from(publicKey, 'base64url'),
        confirmed_at: office.services.clock.now(),
      })
      .execute()
    const name = `left by version ${version}`
    await fillStore(name, left)
    const send = (path: string, init: RequestInit) =>
      Promise.resolve(office.app.request(path, init))
    const phone = await LivePhone.open(plainWorld({ storeName: name, fetch: send }), noSnapshot)
    const unsent = left.stores.entry.filter(({ state }) => state === 'unsent')
    const aside = left.stores.entry.filter(({ state }) => state === 'set aside')
    expect(phone.unsent.count).toBe(unsent.length)
    expect(phone.unsent.setAside.map(({ id }) => id)).toEqual(aside.map(({ id }) => id))
    expect(phone.settings).toEqual(left.stores.note.settings)
    const next = await phone.write(blockDraft(1))
    expect(next.deviceCounter).toBe(left.stores.entry.length + 1)
    expect(next.id > (left.stores.entry.at(-1)?.id ?? '')).toBe(true)
    await phone.sync()
    expect([phone.unsent.count, phone.unsent.state]).toEqual([0, 'idle'])
    phone.close()
    const stands = await sql<{ text: string }>`
      select convert_from(canonical, 'UTF8') as text from entry where device_id = ${deviceId}
      and id <> ${next.id} order by device_counter`.execute(db)
    // What the server of that time acknowledged is new to this one: it was told again.
    const known = left.stores.entry.filter(({ state }) => state !== 'set aside')
    expect(stands.rows.map(({ text }) => text)).toEqual(known.map(({ text }) => text))
  })
})
