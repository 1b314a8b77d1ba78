// Fifty phones with a bad network and bad clocks end in the same facts as an undisturbed delivery.
import 'fake-indexeddb/auto'
import { sql } from 'kysely'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import type { Hono } from 'hono'
import { newApp } from '../../api/app.ts'
import { ingest } from '../../api/journal/ingest.ts'
import { settleFindings } from '../../api/journal/settle.ts'
import type { Env } from '../../api/platform/services.ts'
import { freshDatabase } from '../database.ts'
import type { TestDatabase } from '../database.ts'
import { idOf, seeded } from './entry-writer.ts'
import { factsSnapshot, withoutRecordTimes } from './facts-snapshot.ts'
import { SimulatedPhone } from './simulated-phone.ts'
import { workOfADay } from './work-of-a-day.ts'

const phoneCount = 50
const entriesEach = 20
const stepLimit = 2_000

let rough: TestDatabase
let calm: TestDatabase
beforeAll(async () => {
  ;[rough, calm] = await Promise.all([freshDatabase(), freshDatabase()])
})
afterAll(async () => {
  await Promise.all([rough.drop(), calm.drop()])
})

/** A server on the rough database; made anew, it has forgotten whatever was not written down. */
function startServer(): Hono<Env> {
  const clock = { now: () => new Date('2027-04-12T18:00:00Z') }
  const services = { db: rough.app.db, clock, deskDeviceId: idOf('desk') }
  return newApp(services, () => Promise.resolve(null))
}

/** All phones work and send, in an order that the seed decides, until nothing is unsent. */
async function badDay(seed: number): Promise<SimulatedPhone[]> {
  const random = seeded(seed)
  let server = startServer()
  const app = () => server
  const phones: SimulatedPhone[] = []
  for (let nr = 0; nr < phoneCount; nr += 1) {
    const from = { name: `${rough.name} ${nr}`, nr, random, app }
    phones.push(await SimulatedPhone.make(from, rough.app.db, workOfADay(seed, nr, entriesEach)))
  }
  for (let step = 0; phones.some((phone) => !phone.isDone); step += 1) {
    if (step === stepLimit) throw new Error('the phones do not come to an end')
    if (random() < 0.1) server = startServer()
    const awake = phones.filter((phone) => !phone.isDone && random() < 0.5)
    await Promise.all(awake.map((phone) => phone.step()))
  }
  for (const phone of phones) phone.close()
  return phones
}

describe('invariants 1 and 2: fifty phones on a bad day', () => {
  it('lost, repeated, late and crossed sends, restarts, clock jumps: the same facts', async () => {
    const phones = await badDay(20_270_412)
    const troubles = phones.map((phone) => phone.troubles)
    for (const name of ['lost', 'answerLost', 'late', 'serverError', 'clockJumps'] as const) {
      const count = troubles.reduce((sum, one) => sum + one[name], 0)
      expect(count, `the day must have had some ${name}`).toBeGreaterThan(20)
    }
    for (const phone of phones) {
      const entries = await phone.entries()
      expect(entries.map(({ state }) => state)).toEqual(Array(entriesEach).fill('acknowledged'))
      const values = entries.map(({ text }) => JSON.parse(text) as unknown)
      await ingest(calm.app.db, phone.deviceId, values)
      const stands = await sql<{ text: string; device_counter: number }>`
        select convert_from(canonical, 'UTF8') as text, device_counter from entry
        where device_id = ${phone.deviceId} order by device_counter`.execute(rough.app.db)
      expect(stands.rows.map(({ text }) => text)).toEqual(entries.map(({ text }) => text))
      expect(stands.rows.map((row) => row.device_counter)).toEqual(entries.map((_, nr) => nr + 1))
    }
    await settleFindings(rough.app.db)
    await settleFindings(calm.app.db)
    const [found, expected] = [await factsSnapshot(rough.app.db), await factsSnapshot(calm.app.db)]
    expect(withoutRecordTimes(found)).toEqual(withoutRecordTimes(expected))
    expect(found.graft?.length).toBeGreaterThan(phoneCount * 10)
    const aside = await sql`select problem_detail from set_aside`.execute(rough.app.db)
    expect(aside.rows).toEqual([])
  }, 300_000)
})
