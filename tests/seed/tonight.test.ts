// The demo on an evening in spring: the list avoids what the warm room and the fan have spoilt.
import { sql } from 'kysely'
import { afterAll, beforeAll, expect, it } from 'vitest'
import { readTonight } from '../../api/grafting/tonight.ts'
import type { Tonight } from '../../api/grafting/tonight.ts'
import { demoSeason } from '../../seed/season.ts'
import { freshDatabase } from '../database.ts'
import type { TestDatabase } from '../database.ts'
import { send } from '../lots/small-season.ts'

let database: TestDatabase
/** Noon on the Sunday before the second spring's grafting. */
const now = new Date('2026-04-05T12:00:00Z')

beforeAll(async () => {
  database = await freshDatabase()
  const all = demoSeason(new Date('2026-11-20T10:00:00Z'))
  const soFar = all.filter(({ occurredAt }) => Date.parse(occurredAt) <= now.getTime())
  await send(database.app.db, soFar)
}, 300_000)
afterAll(() => database.drop())

async function listFor(block: string, labels: string[]): Promise<Tonight> {
  const { db } = database.app
  const rows = await sql<{ row_id: string }>`
    select r.row_id from block_row_now r join block_now b on b.block_id = r.block_id
    where b.name = ${block} and r.label = any(${labels}::text[])`.execute(db)
  expect(rows.rows).toHaveLength(labels.length)
  const usual = { readyAt: null, intoWaterAt: null, drainMinutes: null, budsPerVine: null }
  const rest = { overageShare: 0.2, useCautioned: false, tankIds: null }
  return readTonight(db, { rowIds: rows.rows.map((row) => row.row_id), ...usual, ...rest }, now)
}

it('is in by the evening and out by the morning, within the nursery’s own hours', async () => {
  const { plan } = await listFor('Riverside', ['1', '2'])
  expect(plan.problems).toEqual([])
  expect(plan.times?.soakHours).toBeGreaterThanOrEqual(8)
  expect(plan.times?.soakHours).toBeLessThanOrEqual(16)
})

it('finds sound wood enough for the rows by the river, and leaves the dried lot', async () => {
  const { plan, wood } = await listFor('Riverside', ['1', '2'])
  expect(plan.groups).toMatchObject([{ shortage: 0 }])
  expect(plan.lines.length).toBeGreaterThan(0)
  const dried = plan.passedOver.filter(({ fit }) =>
    fit.reasons.some(({ code }) => code === 'check.too_dry'),
  )
  expect(dried.length).toBeGreaterThan(0)
  const pulled = new Set(plan.lines.map(({ woodKey }) => wood.get(woodKey)?.lotId))
  for (const { woodKey } of dried) expect(pulled.has(wood.get(woodKey)?.lotId)).toBe(false)
})

it('pulls nothing from the room that stood warm, and says what the hill is short of', async () => {
  const { plan, wood } = await listFor('Hill', ['1', '2'])
  for (const { woodKey } of plan.lines) {
    expect(wood.get(woodKey)?.accountName).not.toContain('Cold room 2')
  }
  expect(plan.groups.reduce((sum, group) => sum + group.shortage, 0)).toBeGreaterThan(0)
  const low = plan.passedOver.filter(({ fit }) =>
    fit.reasons.some(({ code }) => code === 'check.low'),
  )
  expect(low.length).toBeGreaterThan(0)
})

it('sends no reading of the weather before it was read', () => {
  const logged = demoSeason(new Date('2026-11-20T10:00:00Z')).flatMap((entry) =>
    entry.kind === 'weather.logged' ? [entry] : [],
  )
  expect(logged.length).toBeGreaterThan(3)
  for (const { occurredAt, body } of logged) {
    const latest = Math.max(...body.readings.map((reading) => Date.parse(reading.at)))
    expect(latest).toBeLessThanOrEqual(Date.parse(occurredAt))
  }
})
