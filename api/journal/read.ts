// Reads the journal for people: entries in their order, withdrawn ones marked, and what is aside.
import { sql } from 'kysely'
import type { Database } from '../../db/connect.ts'

/** One line of the journal. Two times: what the device's clock said, and when it arrived. */
export type JournalLine = {
  journal_index: number
  id: string
  kind: string
  occurred_at: Date
  recorded_at: Date
  device_id: string
  device: string | null
  device_counter: number
  person_id: string
  person: string | null
  withdrawn: boolean
}

/** Which entries are wanted; empty texts mean all. `before` is an index, for older pages. */
export type JournalFilter = { kind: string; personId: string; before: number | null }

/** Entries on one page. */
export const JOURNAL_PAGE = 100

const columns = sql`e.journal_index, e.id, e.kind, e.occurred_at, e.recorded_at, e.device_id,
  d.name as device, e.device_counter, e.person_id, p.name as person,
  exists (select 1 from withdrawal w where w.withdrawn_id = e.id and e.kind <> 'entry.withdrawn')
    as withdrawn`
const named = sql`left join device d on d.device_id = e.device_id
  left join person p on p.person_id = e.person_id`

/** One page of the journal, the newest entry first. */
export async function listEntries(db: Database, filter: JournalFilter): Promise<JournalLine[]> {
  const personId = filter.personId === '' ? null : filter.personId
  const rows = await sql<JournalLine>`
    select ${columns} from entry e ${named}
    where (${filter.before}::bigint is null or e.journal_index < ${filter.before})
      and (${filter.kind} = '' or e.kind = ${filter.kind})
      and (${personId}::uuid is null or e.person_id = ${personId}::uuid)
    order by e.journal_index desc limit ${JOURNAL_PAGE}`.execute(db)
  return rows.rows
}

/** One entry with its exact bytes, its leaf hash, and the withdrawals that speak of it. */
export type JournalEntry = JournalLine & {
  canonical: Buffer
  leaf_hash: Buffer
  withdrawals: { entry_id: string; reason: string; withdrawn_at: Date; person: string | null }[]
}

/** Reads one entry, or null when the journal has none with this id. */
export async function readEntryById(db: Database, id: string): Promise<JournalEntry | null> {
  const rows = await sql<JournalLine & { canonical: Buffer; leaf_hash: Buffer }>`
    select ${columns}, e.canonical, e.leaf_hash from entry e ${named} where e.id = ${id}
  `.execute(db)
  const entry = rows.rows[0]
  if (entry === undefined) return null
  const withdrawals = await sql<JournalEntry['withdrawals'][number]>`
    select w.entry_id, w.reason, w.withdrawn_at, p.name as person
    from withdrawal w left join person p on p.person_id = w.person_id
    where w.withdrawn_id = ${id} order by w.withdrawn_at, w.entry_id`.execute(db)
  return { ...entry, withdrawals: withdrawals.rows }
}

/** Something that could not be read as an entry. */
export type AsideLine = {
  set_aside_id: number
  received_at: Date
  device_id: string
  device: string | null
  claimed_entry_id: string | null
  problem_code: string
  problem_detail: string
  raw: Buffer
  dealt_with_at: Date | null
  dealt_with_note: string | null
}

/** What is set aside: what nobody has dealt with first, then the newest. */
export async function listAside(db: Database, limit: number): Promise<AsideLine[]> {
  const rows = await sql<AsideLine>`
    select s.set_aside_id, s.received_at, s.device_id, d.name as device, s.claimed_entry_id,
      s.problem_code, s.problem_detail, s.raw, s.dealt_with_at, s.dealt_with_note
    from set_aside s left join device d on d.device_id = s.device_id
    order by s.dealt_with_at is not null, s.set_aside_id desc limit ${limit}`.execute(db)
  return rows.rows
}

/** How many set-aside values nobody has dealt with. */
export async function countAside(db: Database): Promise<number> {
  const row = await db
    .selectFrom('set_aside')
    .select(({ fn }) => fn.countAll<number>().as('count'))
    .where('dealt_with_at', 'is', null)
    .executeTakeFirstOrThrow()
  return row.count
}

/** Notes how a set-aside value was dealt with; its bytes stay. False when there is none such. */
export async function dealWithAside(
  db: Database,
  id: number,
  by: { personId: string; at: Date; note: string },
): Promise<boolean> {
  const row = await db
    .updateTable('set_aside')
    .set({ dealt_with_at: by.at, dealt_with_by: by.personId, dealt_with_note: by.note })
    .where('set_aside_id', '=', id)
    .where('dealt_with_at', 'is', null)
    .returning('set_aside_id')
    .executeTakeFirst()
  return row !== undefined
}
