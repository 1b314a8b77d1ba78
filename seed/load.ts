// Loads the demo through the machine API, as phones would send it.
import type { Database } from '../db/connect.ts'
import { hashToken, newToken } from '../api/platform/token.ts'
import { refuse } from '../api/platform/errors.ts'
import type { Entry } from '#wire/entry.ts'
import { makeDemoPhones, publicKeysOf } from './phones.ts'
import type { DemoPhone } from './phones.ts'
import { demoSeason } from './season.ts'
import { devices, idOf, people } from './setting.ts'

/** Sends a request to the server; `app.request` of the running app, or fetch with an address. */
export type Send = (path: string, init: RequestInit) => Response | Promise<Response>

/** What was loaded. */
export type Loaded = { entries: number; setAside: number }

const batchSize = 500

/**
 * Makes the demo's people and devices and sends its two seasons through POST /api/entries, device
 * by device in order of time, as phones do: each entry and each batch signed. Refuses on a database
 * that holds any entry. The phones' keys are not kept, and the office computer's token is forgotten
 * at the end, so nobody can write as a demo device afterwards.
 */
export async function loadDemo(db: Database, send: Send, now: Date): Promise<Loaded> {
  await refuseRealData(db)
  const phones = makeDemoPhones()
  const entries = demoSeason(now, publicKeysOf(phones))
  await makePeople(db)
  await makePhones(db, phones, now)
  const office = await makeOffice(db)
  const loaded = { entries: 0, setAside: 0 }
  for (const batch of batchesByTime(entries)) {
    const phone = phones.get(batch[0]?.device ?? '')
    const response = await send('/api/entries', pushOf(batch, phone, office.token))
    if (response.status !== 200) {
      throw new Error(`the demo was not taken: ${response.status} ${await response.text()}`)
    }
    const { results } = (await response.json()) as { results: { result: string }[] }
    loaded.entries += results.filter((result) => result.result === 'recorded').length
    loaded.setAside += results.filter((result) => result.result === 'set aside').length
  }
  await db
    .updateTable('device')
    .set({ token_hash: null })
    .where('device_id', '=', office.deviceId)
    .execute()
  return loaded
}

function pushOf(batch: Entry[], phone: DemoPhone | undefined, token: string): RequestInit {
  if (phone !== undefined) {
    return phone.signBatch(JSON.stringify({ entries: batch.map(phone.signEntry) }))
  }
  const headers = { 'content-type': 'application/json', authorization: `Bearer ${token}` }
  return { method: 'POST', headers, body: JSON.stringify({ entries: batch }) }
}

async function refuseRealData(db: Database): Promise<void> {
  const entry = await db.selectFrom('entry').select('id').limit(1).executeTakeFirst()
  if (entry === undefined) return
  refuse('not_empty', 'this database holds entries already: load the demo into an empty one')
}

/** Batches in the order in which they happened; each holds entries of one device. */
function batchesByTime(entries: Entry[]): Entry[][] {
  const batches: Entry[][] = []
  const open = new Map<string, Entry[]>()
  for (const entry of entries) {
    let batch = open.get(entry.device)
    if (batch === undefined || batch.length === batchSize) {
      batch = []
      open.set(entry.device, batch)
      batches.push(batch)
    }
    batch.push(entry)
  }
  return batches
}

async function makePeople(db: Database): Promise<void> {
  for (const { key, name, role } of people) {
    await db
      .insertInto('person')
      .values({ person_id: idOf(`person ${key}`), name, role })
      .onConflict((conflict) => conflict.column('person_id').doNothing())
      .execute()
  }
}

async function makePhones(
  db: Database,
  phones: ReadonlyMap<string, DemoPhone>,
  now: Date,
): Promise<void> {
  for (const [deviceId, { name, publicKey }] of phones) {
    const key = { public_key: publicKey, confirmed_at: now, last_number: 0 }
    await db
      .insertInto('device')
      .values({ device_id: deviceId, name, kind: 'phone', ...key })
      .onConflict((conflict) => conflict.column('device_id').doUpdateSet(key))
      .execute()
  }
}

async function makeOffice(db: Database): Promise<{ deviceId: string; token: string }> {
  const token = newToken()
  const deviceId = idOf('device office')
  await db
    .insertInto('device')
    .values({
      device_id: deviceId,
      name: devices.office,
      kind: 'desk',
      token_hash: hashToken(token),
    })
    .onConflict((conflict) =>
      conflict.column('device_id').doUpdateSet({ token_hash: hashToken(token) }),
    )
    .execute()
  return { deviceId, token }
}
