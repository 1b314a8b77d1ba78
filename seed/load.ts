// Loads the demo through the machine API, as phones would send it.
import { sql } from 'kysely'
import type { Database } from '../db/connect.ts'
import { hashToken, newToken } from '../api/platform/token.ts'
import { refuse } from '../api/platform/errors.ts'
import type { Entry } from '#wire/entry.ts'
import { demoSeason } from './season.ts'
import { devices, idOf, people } from './setting.ts'
import type { PersonKey } from './setting.ts'

/** Sends a request to the server; `app.request` of the running app, or fetch with an address. */
export type Send = (path: string, init: RequestInit) => Response | Promise<Response>

/** What was loaded. */
export type Loaded = { entries: number; setAside: number }

const batchSize = 500

/**
 * Makes the demo's people and devices and sends its two seasons through POST /api/entries, device
 * by device in order of time. Refuses on a database that holds any entry. The devices' tokens are
 * forgotten at the end, so nobody can write as a demo device afterwards.
 */
export async function loadDemo(db: Database, send: Send, now: Date): Promise<Loaded> {
  await refuseRealData(db)
  const entries = demoSeason(now)
  const tokens = await makePeopleAndDevices(db)
  const loaded = { entries: 0, setAside: 0 }
  for (const batch of batchesByTime(entries)) {
    const token = tokens.get(batch[0]?.device ?? '') ?? ''
    const response = await send('/api/entries', {
      method: 'POST',
      headers: { 'content-type': 'application/json', authorization: `Bearer ${token}` },
      body: JSON.stringify({ entries: batch }),
    })
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
    .where('device_id', '=', sql<string>`any(${[...tokens.keys()]}::uuid[])`)
    .execute()
  return loaded
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

async function makePeopleAndDevices(db: Database): Promise<Map<string, string>> {
  const tokens = new Map<string, string>()
  const keys = Object.keys(devices) as PersonKey[]
  for (const { key, name, role } of people) {
    await db
      .insertInto('person')
      .values({ person_id: idOf(`person ${key}`), name, role })
      .onConflict((conflict) => conflict.column('person_id').doNothing())
      .execute()
  }
  for (const key of keys) {
    const token = newToken()
    const kind = key === 'office' ? 'desk' : 'machine'
    const device = { device_id: idOf(`device ${key}`), name: devices[key], kind }
    await db
      .insertInto('device')
      .values({ ...device, token_hash: hashToken(token) })
      .onConflict((conflict) =>
        conflict.column('device_id').doUpdateSet({ token_hash: hashToken(token) }),
      )
      .execute()
    tokens.set(device.device_id, token)
  }
  return tokens
}
