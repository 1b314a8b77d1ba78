// With no database connection free, or rows locked, people and phones are told to wait, and nothing
// is half done.
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { sql } from 'kysely'
import { verify } from '../../api/journal/verify.ts'
import { newApp } from '../../api/app.ts'
import { systemClock } from '../../api/platform/clock.ts'
import { connect } from '../../db/connect.ts'
import type { Connected } from '../../db/connect.ts'
import { freshDatabase } from '../database.ts'
import type { TestDatabase } from '../database.ts'
import { account, nothingWrong, Sender } from './sender.ts'
import type { Door } from './sender.ts'

let database: TestDatabase
let narrow: Connected
let sender: Sender
let ask: Door

beforeAll(async () => {
  database = await freshDatabase()
  narrow = connect(database.url, 'app', { max: 2, waitMs: 300 })
  const person = { personId: crypto.randomUUID(), name: 'Odo Fell', role: 'office' } as const
  const services = {
    db: narrow.db,
    clock: systemClock,
    deskDeviceId: crypto.randomUUID(),
  }
  const app = newApp(services, async () => person)
  ask = async (path, init) => app.request(`http://localhost${path}`, init)
  sender = new Sender(27_301, 120)
  await sender.enrol(database.app.db)
})
afterAll(async () => {
  await narrow.close()
  await database.drop()
})

/** Sends the next batch and gives the answer. */
async function send(door: Door = ask): Promise<Response> {
  const answers: Response[] = []
  await sender.sendOne(async (path, init) => {
    const answer = await door(path, init)
    answers.push(answer.clone())
    return answer
  })
  const [answer] = answers
  if (answer === undefined) throw new Error('nothing was sent')
  return answer
}

describe('when every connection is taken', () => {
  it('a push is told 503, why and when to come again, and goes through afterwards', async () => {
    const taken = [await narrow.pool.connect(), await narrow.pool.connect()]
    const busy = await send()
    expect(busy.status).toBe(503)
    expect(busy.headers.get('retry-after')).toBe('5')
    expect(await busy.json()).toMatchObject({
      code: 'database_unavailable',
      detail: expect.stringContaining('busy, so nothing was recorded'),
    })
    const page = await ask('/lots', {})
    expect(page.status).toBe(503)
    expect(await page.text()).toContain('the database is busy')
    for (const client of taken) client.release()
    expect((await send()).status).toBe(200)
    expect((await ask('/lots', {})).status).toBe(200)
    expect([...sender.refusals]).toEqual([['503', 1]])
  })

  it('ten phones at once over two connections all get an answer, and none is lost', async () => {
    const phones = Array.from({ length: 10 }, (_, nr) => new Sender(27_310 + nr, 70))
    for (const phone of phones) await phone.enrol(database.app.db)
    await Promise.all(phones.map((phone) => phone.run(ask)))
    const after = await account(database.reader.db, [sender, ...phones])
    expect(after).toMatchObject(nothingWrong)
    const told = phones.flatMap((phone) => [...phone.refusals.keys()])
    expect(told.every((status) => status === '503')).toBe(true)
    console.log(`${JSON.stringify(after.figures)}; told to wait: ${told.length}`)
  })
})

describe('limits of time in the database', () => {
  it.each(['lock_timeout', 'statement_timeout'])(
    'a push that runs into %s is told 503 and leaves nothing behind',
    async (setting) => {
      const impatient = connect(database.url, 'app', { max: 1 })
      const holder = await database.owner.pool.connect()
      try {
        await sql.raw(`set ${setting} = '200ms'`).execute(impatient.db)
        const services = {
          db: impatient.db,
          clock: systemClock,
          deskDeviceId: crypto.randomUUID(),
        }
        const app = newApp(services, async () => null)
        await holder.query('begin')
        await holder.query('lock table entry_subject in access exclusive mode')
        const answer = await send(async (path, init) => app.request(path, init))
        expect(answer.status).toBe(503)
        await holder.query('rollback')
        expect((await send()).status).toBe(200)
        expect(await verify(database.reader.db)).toHaveProperty('verified')
      } finally {
        await holder.query('rollback')
        holder.release()
        await impatient.close()
      }
    },
  )

  it('app and reader connections have both limits, and the owner waits for locks', async () => {
    const limitsOf = async ({ pool }: Connected) => {
      const { rows } = await pool.query<{ name: string; setting: string }>(
        `select name, setting from pg_settings
         where name in ('lock_timeout', 'statement_timeout') order by name`,
      )
      return rows.map(({ setting }) => Number(setting))
    }
    expect(await limitsOf(database.app)).toEqual([20_000, 60_000])
    expect(await limitsOf(database.reader)).toEqual([20_000, 60_000])
    expect(await limitsOf(database.owner)).toEqual([20_000, 0])
  })
})
