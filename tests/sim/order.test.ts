// Whatever the order and however often entries arrive, the facts are the same.
import fc from 'fast-check'
import { sql } from 'kysely'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { ingest } from '../../api/journal/ingest.ts'
import { rebuild } from '../../api/journal/rebuild.ts'
import { settleFindings } from '../../api/journal/settle.ts'
import { findingRules } from '../../api/journal/finding-rules.ts'
import { Name } from '#wire/basics.ts'
import type { Entry } from '#wire/entry.ts'
import { send } from '../lots/small-season.ts'
import { freshDatabase } from '../database.ts'
import type { TestDatabase } from '../database.ts'
import { seeded } from './entry-writer.ts'
import { factsSnapshot, withoutRecordTimes } from './facts-snapshot.ts'
import { troubledSeason } from './troubled-season.ts'

let plain: TestDatabase
let mixed: TestDatabase

beforeAll(async () => {
  ;[plain, mixed] = await Promise.all([freshDatabase(), freshDatabase()])
})
afterAll(async () => {
  await Promise.all([plain.drop(), mixed.drop()])
})

describe('invariants 2, 3 and 4: order and repetition do not matter', () => {
  it('entries delivered out of order, twice and at once give the same facts', async () => {
    await fc.assert(
      fc.asyncProperty(fc.integer({ min: 1, max: 1_000_000 }), async (seed) => {
        const entries = troubledSeason(seed, 220)
        await deliverInOrder(plain, entries)
        await deliverMixed(mixed, entries, seed)
        const expected = await factsSnapshot(plain.app.db)
        const found = await factsSnapshot(mixed.app.db)
        expect(withoutRecordTimes(found)).toEqual(withoutRecordTimes(expected))
        expect(await unbalanced(mixed)).toEqual([])
        expect(await setAsideCount(mixed)).toBe(0)
        await rebuild(mixed.owner.db)
        expect(await factsSnapshot(mixed.app.db)).toEqual(found)
      }),
      { numRuns: 6, endOnFailure: true },
    )
  }, 240_000)
})

describe('the seasons that order is tried on', () => {
  it('raise every finding, each under a key that an answer can name', async () => {
    const database = await freshDatabase()
    for (const seed of [1, 2, 3, 4, 5, 6, 7, 8])
      await send(database.app.db, troubledSeason(seed, 400))
    const found = await database.app.db
      .selectFrom('finding')
      .select(['finding_key', 'code'])
      .execute()
    const codes = new Set(found.map((row) => row.code))
    expect(findingRules.map((rule) => rule.code).filter((code) => !codes.has(code))).toEqual([])
    const unnamable = found.filter((row) => !Name.safeParse(row.finding_key).success)
    expect(unnamable).toEqual([])
    await database.drop()
  })
})

async function deliverInOrder(database: TestDatabase, entries: Entry[]): Promise<void> {
  for (const entry of entries) await ingest(database.app.db, entry.device, [entry])
  await settleFindings(database.app.db)
}

/** Shuffled, a third of it sent twice, by three senders at the same time, in uneven batches. */
async function deliverMixed(database: TestDatabase, entries: Entry[], seed: number): Promise<void> {
  const random = seeded(seed + 1)
  const sent = [...entries, ...entries.filter(() => random() < 0.33)]
  for (let at = sent.length - 1; at > 0; at -= 1) {
    const other = Math.floor(random() * (at + 1))
    const [a, b] = [sent[at], sent[other]]
    if (a !== undefined && b !== undefined) [sent[at], sent[other]] = [b, a]
  }
  const queues = [0, 1, 2].map((nr) => sent.filter((_, at) => at % 3 === nr))
  await Promise.all(
    queues.map(async (queue) => {
      while (queue.length > 0) {
        const batch = queue.splice(0, 1 + Math.floor(random() * 20))
        for (const device of new Set(batch.map((entry) => entry.device))) {
          const own = batch.filter((entry) => entry.device === device)
          await ingest(database.app.db, device, own)
        }
        await settleFindings(database.app.db)
      }
    }),
  )
}

async function unbalanced(database: TestDatabase): Promise<unknown[]> {
  const rows = await sql`
    select lot_id, unit from movement group by 1, 2 having sum(count) <> 0
    union all
    select lot_id, unit from balance group by 1, 2 having sum(count) <> 0`.execute(database.app.db)
  return rows.rows
}

async function setAsideCount(database: TestDatabase): Promise<number> {
  const row = await database.app.db
    .selectFrom('set_aside')
    .select(({ fn }) => fn.countAll<number>().as('count'))
    .executeTakeFirstOrThrow()
  return row.count
}
