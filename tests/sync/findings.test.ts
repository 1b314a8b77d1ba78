// A push tells which findings are open about what it wrote, and survives when they cannot be told.
import { Kysely, PostgresDialect, sql } from 'kysely'
import pg from 'pg'
import { afterAll, beforeAll, expect, it } from 'vitest'
import { newApp } from '../../api/app.ts'
import { ingest } from '../../api/journal/ingest.ts'
import type { Tables } from '../../db/tables.ts'
import { NIL_ID } from '#wire/basics.ts'
import type { PushAnswerShape } from '#wire/api-entries.ts'
import { EntryWriter, idOf, seeded } from '../sim/entry-writer.ts'
import { blockEntry, deviceApp } from './device-app.ts'
import type { DeviceApp } from './device-app.ts'

let api: DeviceApp
beforeAll(async () => {
  api = await deviceApp()
})
afterAll(() => api.drop())

/** A graft with wood of a lot that nobody ever cut. */
function graftOf(lotName: string) {
  const writer = new EntryWriter(seeded(lotName.length), '2027-03-01T08:00:00Z', lotName)
  return writer.add(
    'graft.made',
    {
      vine: { rowId: idOf('row'), position: 1 },
      lotId: idOf(lotName),
      bundleId: null,
      from: { kind: 'unknown', id: NIL_ID },
      method: 'chip bud',
      budCount: 1,
      knifeId: null,
      tie: null,
      note: '',
    },
    { device: api.device.deviceId },
  )
}

it('a graft of an unknown lot is recorded, and its finding told in the same answer', async () => {
  const { results, findings } = await api.push([graftOf('lot A')])
  expect(results[0]?.result).toBe('recorded')
  expect(findings).toContainEqual({ key: `lot_unknown:${idOf('lot A')}`, code: 'lot_unknown' })
})

it('findings about other things are not told', async () => {
  const { findings } = await api.push([blockEntry(await api.enrol())])
  expect(findings).toEqual([])
})

it('a batch sent again is told its findings again', async () => {
  const { results, findings } = await api.push([graftOf('lot A')])
  expect(results[0]?.result).toBe('already recorded')
  expect(findings.map(({ code }) => code)).toContain('lot_unknown')
})

it('a withdrawal clears what was found about what it takes back', async () => {
  const wrong = graftOf('lot BB')
  await api.push([wrong])
  const writer = new EntryWriter(seeded(9), '2027-03-01T09:00:00Z', 'withdrawal')
  const back = writer.add(
    'entry.withdrawn',
    { entryId: wrong.id, reason: 'wrong vine' },
    { device: api.device.deviceId },
  )
  const { findings } = await api.push([back])
  expect(findings.map(({ key }) => key)).not.toContain(`lot_unknown:${idOf('lot BB')}`)
})

it('more than a hundred findings are cut off and said to go on', async () => {
  const many = Array.from({ length: 130 }, (_, nr) => graftOf(`lot ${'C'.repeat(nr + 1)}`))
  const { findings, moreFindings } = await api.push(many)
  expect(findings).toHaveLength(100)
  expect(moreFindings).toBe(true)
})

it('entries are acknowledged even while findings cannot be worked out', async () => {
  const pool = new pg.Pool({
    connectionString: api.database.url,
    max: 4,
    options: '-c role=canemark_app -c lock_timeout=150',
  })
  const db = new Kysely<Tables>({ dialect: new PostgresDialect({ pool }) })
  const entry = blockEntry(api.device)
  try {
    const app = newApp({ ...api.services, db }, async () => null)
    const answer = await api.services.db.transaction().execute(async (trx) => {
      // The lock that settling takes, held by a session that seems to have died.
      await sql`select pg_advisory_xact_lock(7263003)`.execute(trx)
      const response = await app.request('/api/entries', {
        method: 'POST',
        body: JSON.stringify({ entries: [entry] }),
        headers: {
          'content-type': 'application/json',
          authorization: `Bearer ${api.device.token}`,
        },
      })
      expect(response.status).toBe(200)
      return (await response.json()) as PushAnswerShape
    })
    expect(answer.results[0]?.result).toBe('recorded')
    expect(answer.settled).toBe(false)
  } finally {
    await db.destroy()
  }
  expect((await api.push([entry])).settled).toBe(true)
  const queued = await api.services.db.selectFrom('finding_scope').selectAll().execute()
  expect(queued).toEqual([])
})

it('a batch pushed around the API is settled by the next push', async () => {
  await ingest(api.services.db, api.device.deviceId, [graftOf('lot of another way')])
  await api.push([blockEntry(api.device)])
  const keys = await api.services.db.selectFrom('finding_open').select('finding_key').execute()
  expect(keys.map((row) => row.finding_key)).toContain(`lot_unknown:${idOf('lot of another way')}`)
})
