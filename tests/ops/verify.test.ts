// `verify` finds whatever does not agree with the journal, and says which entry and which table.
import { sql } from 'kysely'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { canonicalBytes, leafHash } from '../../api/journal/canonical.ts'
import { verify, verifyIn } from '../../api/journal/verify.ts'
import { freshDatabase } from '../database.ts'
import type { TestDatabase } from '../database.ts'
import { recordSeason } from './recorded-season.ts'

let database: TestDatabase
let entryCount: number

beforeAll(async () => {
  database = await freshDatabase()
  entryCount = (await recordSeason(database.app.db, 20270115, 1200)).length
})
afterAll(() => database.drop())

/** Changes things as the owner could, verifies, and takes the change back. */
async function after(...changes: string[]): Promise<string> {
  const { db } = database.owner
  let found = ''
  const undo = new Error('taken back')
  await db
    .transaction()
    .execute(async (trx) => {
      await sql`alter table entry disable trigger all`.execute(trx)
      for (const change of changes) {
        const { numAffectedRows = 0n } = await sql.raw(change).execute(trx)
        expect(numAffectedRows, change).toBeGreaterThan(0n)
      }
      const outcome = await verifyIn(trx)
      found = 'difference' in outcome ? outcome.difference : 'nothing'
      throw undo
    })
    .catch((error: unknown) => {
      if (error !== undo) throw error
    })
  return found
}

/** Puts other bytes in place of an entry's, with a leaf hash that fits them. */
async function forged(index: number, change: (value: Record<string, unknown>) => unknown) {
  const row = await database.app.db
    .selectFrom('entry')
    .select('canonical')
    .where('journal_index', '=', index)
    .executeTakeFirstOrThrow()
  const bytes = canonicalBytes(change(JSON.parse(row.canonical.toString('utf8'))))
  return `update entry set canonical = '\\x${bytes.toString('hex')}',
    leaf_hash = '\\x${leafHash(bytes).toString('hex')}' where journal_index = ${index}`
}

async function firstIndexOf(kind: string): Promise<number> {
  const row = await database.app.db
    .selectFrom('entry')
    .select(({ fn }) => fn.min('journal_index').as('index'))
    .where('kind', '=', kind)
    .executeTakeFirstOrThrow()
  return row.index
}

describe('a record that nobody touched', () => {
  it('holds, read as the reader, with signatures, withdrawals and what was set aside', async () => {
    const outcome = await verify(database.reader.db)
    expect(outcome).toMatchObject({
      verified: { entries: entryCount, signed: 3, setAside: 1 },
    })
    const rows = 'verified' in outcome ? outcome.verified.factRows : 0
    expect(rows).toBeGreaterThan(entryCount)
  })

  it('an empty database holds as well', async () => {
    const empty = await freshDatabase()
    try {
      expect(await verify(empty.reader.db)).toMatchObject({
        verified: { entries: 0, signed: 0, factRows: 0, setAside: 0 },
      })
    } finally {
      await empty.drop()
    }
  })
})

describe('the journal (invariant 1)', () => {
  it('one changed bit in the bytes of an entry is found and the entry named', async () => {
    const found = await after(
      `update entry set canonical = set_byte(canonical, 20, get_byte(canonical, 20) # 1)
       where journal_index = 417`,
    )
    expect(found).toMatch(/^entry 417 \(.*its bytes do not fit its leaf hash/)
  })

  it.each<[string, () => Promise<string[]> | string[], RegExp]>([
    [
      'a changed leaf hash',
      () => [
        `update entry set leaf_hash = set_byte(leaf_hash, 0, get_byte(leaf_hash, 0) # 128)
         where journal_index = 3`,
      ],
      /^entry 3 .*leaf hash/,
    ],
    [
      'an entry taken out',
      () => ['delete from entry where journal_index = 600'],
      /^entry 600 is missing from the journal: the next one is entry 601 /,
    ],
    [
      'the first entry taken out',
      () => ['delete from entry where journal_index = 0'],
      /^entry 0 is missing/,
    ],
    [
      'a time that is not that of the bytes, by a microsecond',
      () => [
        `update entry set occurred_at = occurred_at + interval '1 microsecond'
         where journal_index = 9`,
      ],
      /^entry 9 .*its column occurred_at says .*000001Z, and its bytes say .*000000Z/,
    ],
    [
      'another person beside the bytes',
      () => [`update entry set person_id = gen_random_uuid() where journal_index = 11`],
      /^entry 11 .*its column person_id says/,
    ],
    [
      'another counter beside the bytes',
      () => ['update entry set device_counter = device_counter + 1 where journal_index = 12'],
      /^entry 12 .*its column device_counter says/,
    ],
    [
      'bytes rewritten together with their hash',
      async () => [
        await forged(await firstIndexOf('graft.made'), (value) => ({
          ...value,
          body: { ...(value.body as object), budCount: 7 },
        })),
      ],
      /\(graft\.made, .*: table (movement|graft).* and should be/,
    ],
  ])('%s is found', async (_, changes, says) => {
    expect(await after(...(await changes()))).toMatch(says)
  })

  it('a signed entry cannot be rewritten, even with hash and columns to fit', async () => {
    const change = await forged(2, (value) => ({ ...value, occurredAt: '2027-02-11T06:00:00Z' }))
    const columns = `update entry set occurred_at = '2027-02-11T06:00:00Z' where journal_index = 2`
    expect(await after(change, columns)).toMatch(/^entry 2 .*its signature fits no key/)
  })

  it('a signature cannot be taken off', async () => {
    const change = await forged(2, ({ signature, ...rest }) => {
      expect(signature).toMatch(/^[\w-]{86}$/)
      return rest
    })
    expect(await after(change)).toMatch(/^entry 2 .*its device has a key, and yet it is not signed/)
  })

  it('bytes that are JSON but not canonical are found', async () => {
    const bytes = Buffer.from('{"b":1, "a":2}')
    const change = `update entry set canonical = '\\x${bytes.toString('hex')}',
      leaf_hash = '\\x${leafHash(bytes).toString('hex')}' where journal_index = 30`
    expect(await after(change)).toMatch(/^entry 30 .*it cannot be read/)
  })
})

describe('the facts (invariants 3, 4 and 10)', () => {
  it.each<[string, string[], RegExp]>([
    [
      'a count changed',
      [
        `update graft set bud_count = bud_count + 1
         where entry_id = (select entry_id from graft order by entry_id limit 1)`,
      ],
      /\(graft\.made, .*table graft: bud_count is \d+ and should be \d+$/,
    ],
    [
      'a fact taken out',
      ['delete from take_check where ctid = (select min(ctid) from take_check)'],
      /\(take\.checked, .*states a row that the table take_check lacks: /,
    ],
    [
      'a fact added to an entry that does not state it',
      [`insert into bath_end select id, id, occurred_at from entry where journal_index = 50`],
      /^entry 50 .*does not state a row that the table bath_end holds: /,
    ],
    [
      'the facts of an entry that was never written',
      [`insert into bath_end values (gen_random_uuid(), gen_random_uuid(), now())`],
      /^the table bath_end holds facts of an entry .* that the journal does not have$/,
    ],
    [
      'a fact put back under a withdrawn entry',
      [
        `insert into bath_end select e.id, e.id, e.occurred_at from entry e
         join withdrawal w on w.withdrawn_id = e.id where e.kind = 'graft.made' limit 1`,
      ],
      /\(graft\.made, .*does not state a row that the table bath_end holds/,
    ],
    [
      'a line that leads to an entry taken out',
      ['delete from entry_subject where ctid = (select min(ctid) from entry_subject)'],
      /the table entry_subject lacks/,
    ],
    [
      'a time of a fact off by a microsecond',
      [
        `update lot set occurred_at = occurred_at - interval '1 microsecond'
         where entry_id = (select entry_id from lot order by entry_id limit 1)`,
      ],
      /table lot.*: occurred_at is .* and should be /,
    ],
    [
      'a balance off by one',
      [
        `update balance set count = count + 1
         where lot_id = (select lot_id from balance where count <> 0 order by lot_id limit 1)`,
      ],
      /^the table balance says -?\d+ for lot .*; the movements sum to -?\d+$/,
    ],
    [
      'a balance taken out',
      [`delete from balance where ctid = (select min(ctid) from balance where count <> 0)`],
      /^the table balance says nothing for lot /,
    ],
    [
      'what was set aside changed',
      [`update set_aside set raw = raw || '\\x20'`],
      /^what was set aside as number \d+ does not fit its hash/,
    ],
  ])('%s is found', async (_, changes, says) => {
    expect(await after(...changes)).toMatch(says)
  })

  it('all of these were taken back: the record holds again', async () => {
    expect(await verify(database.reader.db)).toHaveProperty('verified')
  })
})
