// What a gateway sends is recorded once, in order, and refused by its place when it cannot be true.
import { sql } from 'kysely'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import type { z } from 'zod'
import type { ReadingsAnswer } from '#wire/api-readings.ts'
import { ingest } from '../../api/journal/ingest.ts'
import { newId } from '../../api/platform/clock.ts'
import { hashToken, newToken } from '../../api/platform/token.ts'
import { LoggerSeason } from '../store/logger-scene.ts'
import { deviceApp } from './device-app.ts'
import type { DeviceApp } from './device-app.ts'

const now = new Date('2027-02-03T12:00:00Z')
let api: DeviceApp
let loggerId: string
beforeAll(async () => {
  api = await deviceApp(now)
  const season = new LoggerSeason('gateway', '2027-01-01T08:00:00Z')
  season.logger('north', 'room', Date.parse('2027-01-01T00:00:00Z'))
  loggerId = season.id('north')
  const [entry] = season.entries
  await ingest(api.services.db, entry?.device ?? '', season.entries)
})
afterAll(() => api.drop())

type Answer = z.infer<typeof ReadingsAnswer>

async function post(body: unknown, token = api.device.token): Promise<Response> {
  return api.app.request('/api/readings', {
    method: 'POST',
    headers: { 'content-type': 'application/json', authorization: `Bearer ${token}` },
    body: JSON.stringify(body),
  })
}

const readings = [
  { at: '2027-02-02T23:55:00Z', tempC: 2.25, humidityPercent: 91.2 },
  { at: '2027-02-03T00:00:00Z', tempC: 2.5, humidityPercent: null },
  { at: '2027-02-03T01:05:00+01:00', tempC: 2.75 },
]

async function recorded(): Promise<number> {
  const rows = await sql<{ n: number }>`
    select coalesce(sum(cardinality(seconds)), 0)::int as n from temperature_log
    where logger_id = ${loggerId}`.execute(api.services.db)
  return rows.rows[0]?.n ?? -1
}

describe('readings sent by a machine', () => {
  it('are recorded a day to an entry, in whatever order they come', async () => {
    const response = await post({ loggerId, readings: readings.toReversed() })
    const answer = (await response.json()) as Answer
    expect(answer).toMatchObject({ recorded: 3, alreadyRecorded: 0, differing: 0 })
    expect([answer.knownLogger, answer.entryIds.length, await recorded()]).toEqual([true, 2, 3])
  })

  it('sent again, or twice at once, are recorded once', async () => {
    const more = [...readings, { at: '2027-02-03T00:10:00Z', tempC: 3 }]
    const answers = await Promise.all([1, 2, 3].map(() => post({ loggerId, readings: more })))
    const told = (await Promise.all(answers.map((answer) => answer.json()))) as Answer[]
    expect(told.map((answer) => answer.recorded).sort()).toEqual([0, 0, 1])
    expect(await recorded()).toBe(4)
  })

  it('that differ from what is recorded are kept beside it and told', async () => {
    const [first] = readings
    const response = await post({ loggerId, readings: [{ ...first, tempC: 9 }] })
    expect(await response.json()).toMatchObject({ recorded: 1, differing: 1 })
  })

  it('of a logger that nobody registered are kept, and the answer says so', async () => {
    const unknown = '01900000-0000-7000-8000-000000000abc'
    const response = await post({ loggerId: unknown, readings })
    expect(await response.json()).toMatchObject({ recorded: 3, knownLogger: false })
  })
})

describe('readings that cannot be true', () => {
  it.each([
    ['in the future', { at: '2027-02-03T13:00:00Z', tempC: 2 }, 'readings.1.at', /set the clock/],
    ['too warm', { at: '2027-02-03T01:00:00Z', tempC: 125 }, 'readings.1.tempC', /90/],
    [
      'too humid',
      { at: '2027-02-03T01:00:00Z', tempC: 2, humidityPercent: 101 },
      'readings.1.humidityPercent',
      /100/,
    ],
    ['at no time', { at: 'yesterday', tempC: 2 }, 'readings.1.at', /date and time/],
  ])('%s are named by their place, and nothing is recorded', async (_what, bad, field, says) => {
    const before = await recorded()
    const good = { at: '2027-02-01T00:00:00Z', tempC: 2 }
    const response = await post({ loggerId, readings: [good, bad] })
    expect(response.status).toBe(422)
    const problem = (await response.json()) as { detail: string; fields: { field: string }[] }
    expect(problem.fields[0]?.field).toBe(field)
    expect(problem.detail).toMatch(says)
    expect(await recorded()).toBe(before)
  })

  it('come from nobody without a token, nor a machine that may write other things', async () => {
    expect((await post({ loggerId, readings }, 'wrong')).status).toBe(401)
    const token = newToken()
    const other = { device_id: newId(), name: 'Another', token_hash: hashToken(token) }
    await api.services.db
      .insertInto('device')
      .values({ ...other, write_kinds: ['graft.made'] })
      .execute()
    expect((await post({ loggerId, readings }, token)).status).toBe(403)
  })
})
