// What the journal promises, each promise tried against a real database.
import { sql } from 'kysely'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { ingest } from '../../api/journal/ingest.ts'
import { canonicalBytes, leafHash } from '../../api/journal/canonical.ts'
import { settleFindings } from '../../api/journal/settle.ts'
import type { Entry } from '#wire/entry.ts'
import { freshDatabase } from '../database.ts'
import type { TestDatabase } from '../database.ts'
import { EntryWriter, idOf, randomSeason, seeded } from '../sim/season.ts'

let database: TestDatabase
beforeAll(async () => {
  database = await freshDatabase()
})
afterAll(() => database.drop())

const devicesOf = (entries: Entry[]) => [...new Set(entries.map((entry) => entry.device))]

async function send(entries: Entry[]) {
  for (const device of devicesOf(entries)) {
    const own = entries.filter((entry) => entry.device === device)
    await ingest(database.app.db, device, own)
  }
  await settleFindings(database.app.db)
}

describe('invariant 1: an acknowledged entry stays for ever, byte for byte', () => {
  it('the stored bytes are canonical, hashed as a leaf, with gapless indexes', async () => {
    const entries = randomSeason(5, 120)
    await send(entries)
    const rows = await database.reader.db
      .selectFrom('entry')
      .select(['id', 'journal_index', 'canonical', 'leaf_hash'])
      .orderBy('journal_index')
      .execute()
    expect(rows.map((row) => row.journal_index)).toEqual(rows.map((_, nr) => nr))
    const byId = new Map(rows.map((row) => [row.id, row]))
    for (const entry of entries) {
      const bytes = canonicalBytes(entry)
      expect(byId.get(entry.id)?.canonical.equals(bytes)).toBe(true)
      expect(byId.get(entry.id)?.leaf_hash.equals(leafHash(bytes))).toBe(true)
    }
  })

  it.each([
    ['update', sql`update entry set kind = 'lot.cut' where journal_index = 0`],
    ['delete', sql`delete from entry where journal_index = 0`],
    ['truncate', sql`truncate entry`],
    ['insert', sql`insert into entry select * from entry where journal_index = 0`],
  ])('the app may not %s entries, and the owner is stopped as well', async (what, statement) => {
    await expect(statement.execute(database.app.db)).rejects.toThrow(/permission denied/)
    if (what === 'insert') return
    await expect(statement.execute(database.owner.db)).rejects.toThrow(/append-only/)
  })

  it('not even a session that plays replica slips past the triggers', async () => {
    const tried = database.owner.db.transaction().execute(async (trx) => {
      await sql`set local session_replication_role = replica`.execute(trx)
      await sql`delete from entry`.execute(trx)
    })
    await expect(tried).rejects.toThrow(/append-only|permission denied/)
  })
})

describe('invariant 5: a code is bound to one thing', () => {
  it('the earliest standing binding counts, whichever arrived first', async () => {
    const writer = new EntryWriter(seeded(1), '2027-03-01T08:00:00Z', 'codes')
    const code = '7K3M9Q2X4T5'
    const first = writer.add('tag.bound', { code, thing: { kind: 'lot', id: idOf('one') } })
    const second = writer.add('tag.bound', { code, thing: { kind: 'lot', id: idOf('two') } })
    await send([second])
    await send([first])
    const bound = await database.app.db
      .selectFrom('tag_now')
      .select('thing_id')
      .where('code', '=', code)
      .execute()
    expect(bound).toEqual([{ thing_id: idOf('one') }])
  })
})

describe('invariant 7: a graft has a lot, a person and a device', () => {
  it.each(['lotId', 'person', 'device'])('a graft without %s is set aside', async (field) => {
    const writer = new EntryWriter(seeded(2), '2027-04-01T08:00:00Z', `without ${field}`)
    const entry = writer.add('graft.made', {
      vine: { rowId: idOf('row'), position: 1 },
      lotId: idOf('lot'),
      bundleId: null,
      from: { kind: 'unknown', id: idOf('nobody') },
      method: 'chip bud',
      budCount: 2,
      knifeId: null,
      tie: null,
      note: '',
    })
    const broken: Record<string, unknown> = { ...entry, body: { ...entry.body } }
    if (field === 'lotId') delete (broken.body as Record<string, unknown>).lotId
    else delete broken[field]
    const [result] = await ingest(database.app.db, entry.device, [broken])
    expect(result).toMatchObject({ result: 'set aside' })
    const kept = await database.app.db
      .selectFrom('set_aside')
      .select('raw')
      .where('claimed_entry_id', '=', entry.id)
      .execute()
    expect(kept.map((row) => JSON.parse(row.raw.toString('utf8')))).toEqual([broken])
  })
})

describe('invariant 10: a withdrawn entry counts nowhere and still shows', () => {
  it('its facts are gone, its bytes stay, and the stock is as if it never was', async () => {
    const writer = new EntryWriter(seeded(3), '2027-01-10T08:00:00Z', 'withdrawn')
    const wood = { lotId: idOf('w lot'), bundleId: null, unit: 'stick' as const, count: 40 }
    const room = { kind: 'place' as const, id: idOf('w room') }
    const discarded = writer.add('wood.discarded', { wood, from: room, reason: 'mistake' })
    const withdrawal = writer.add('entry.withdrawn', {
      entryId: discarded.id,
      reason: 'wrong lot',
    })
    await send([discarded])
    const balances = () =>
      database.app.db
        .selectFrom('balance')
        .select(['account_kind', 'count'])
        .where('lot_id', '=', wood.lotId)
        .where('count', '<>', 0)
        .orderBy('account_kind')
        .execute()
    expect(await balances()).toEqual([
      { account_kind: 'discarded', count: 40 },
      { account_kind: 'place', count: -40 },
    ])
    await send([withdrawal])
    expect(await balances()).toEqual([])
    const shown = await database.app.db
      .selectFrom('entry')
      .select('kind')
      .where('id', 'in', [discarded.id, withdrawal.id])
      .orderBy('kind')
      .execute()
    expect(shown.map((row) => row.kind)).toEqual(['entry.withdrawn', 'wood.discarded'])
  })
})

describe('invariant 11: nobody writes as another', () => {
  it('a device that sends another device’s entry sees it set aside', async () => {
    const [entry] = randomSeason(9, 20)
    if (entry === undefined) throw new Error('an empty season')
    const results = await ingest(database.app.db, idOf('some other phone'), [entry])
    expect(results).toMatchObject([{ result: 'set aside', problem: { code: 'other_device' } }])
  })

  it('the reader cannot write, and cannot see tokens of devices', async () => {
    const { db } = database.reader
    const attempts = [
      sql`insert into graft_removal values (gen_random_uuid(), gen_random_uuid(), '', now())`,
      sql`select append_entries('{}','{}','{}','{}','{}','{}','{}','{}','{}')`,
      sql`select token_hash from device`,
      sql`delete from movement`,
    ]
    for (const attempt of attempts) {
      await expect(attempt.execute(db)).rejects.toThrow(/permission denied/)
    }
  })
})
