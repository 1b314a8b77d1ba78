// The tables that a backup holds beside the journal, and their rows as lines of text.
import { sql } from 'kysely'
import type { Transaction } from 'kysely'
import type { Tables } from '../../db/tables.ts'

type Trx = Transaction<Tables>

/**
 * Tables whose rows stand in no entry, with their keys, in the order in which they can be filled.
 * Trust: together they hold people's names and the hashes of passwords, of machines' tokens and of
 * auditors' links, so a backup is to be kept as safe as the database. Facts, findings and counts
 * are worked out from the journal; sessions, links for passwords, codes for enrolment and counted
 * tries end with the server that is lost.
 */
export const backedUpTables = [
  { table: 'installation', key: ['key'] },
  { table: 'person', key: ['person_id'] },
  { table: 'sign_in', key: ['person_id'] },
  { table: 'device', key: ['device_id'] },
  { table: 'audit_link', key: ['link_id'] },
  { table: 'audit_scope', key: ['link_id', 'kind', 'id', 'position'] },
  { table: 'release_request', key: ['request_id'] },
  { table: 'set_aside', key: ['set_aside_id'] },
  { table: 'photo', key: ['entry_id', 'sha256'] },
  { table: 'signing_key', key: ['key_number'] },
  { table: 'checkpoint', key: ['size', 'key_number'] },
  { table: 'checkpoint_stamp', key: ['size', 'key_number', 'asked_at'] },
] as const

/** Tables that a backup leaves out on purpose; a test sees that no table is forgotten. */
export const leftOutTables = [
  'session',
  'password_link',
  'enrolment',
  'rate_limit',
  'checkpoint_delivery',
  'dossier',
  'kysely_migration',
  'kysely_migration_lock',
] as const

export type BackedUpTable = (typeof backedUpTables)[number]['table']

/** Rows read or written at a time, and most bytes of them. */
const STEP = 500
/** The same of photos, of which each may be as large as 4 MB in hexadecimal digits. */
const PHOTO_STEP = 2
const STEP_BYTES = 8 * 1024 * 1024

/** The columns of a table, in their order. */
export async function columnsOf(trx: Trx, table: BackedUpTable): Promise<string[]> {
  const { rows } = await sql<{ name: string }>`
    select attname as name from pg_attribute
    where attrelid = ${`public.${table}`}::regclass and attnum > 0 and not attisdropped
    order by attnum`.execute(trx)
  return rows.map(({ name }) => name)
}

/**
 * The table as NDJSON, one line a row, in the order of its key: pieces of whole lines. Bytes are
 * written as PostgreSQL writes them in JSON, `\x` and hexadecimal digits.
 */
export async function* tableLines(
  trx: Trx,
  table: BackedUpTable,
  columns: string[],
): AsyncGenerator<string, void, void> {
  const key = backedUpTables.find((known) => known.table === table)?.key ?? []
  const order = sql.join(key.map((column) => sql.ref(column)))
  const wanted = sql.join(columns.map((column) => sql.ref(column)))
  const cursor = sql.id(`backup_${table}`)
  await sql`declare ${cursor} no scroll cursor for
    select to_jsonb(r)::text as line from (select ${wanted} from ${sql.table(table)}
      order by ${order}) r`.execute(trx)
  const most = table === 'photo' ? PHOTO_STEP : STEP
  for (;;) {
    const { rows } = await sql<{ line: string }>`
      fetch ${sql.lit(most)} from ${cursor}`.execute(trx)
    if (rows.length > 0) yield rows.map(({ line }) => `${line}\n`).join('')
    if (rows.length < most) break
  }
  await sql`close ${cursor}`.execute(trx)
}

/** Writes rows, given as lines of `tableLines`; columns that these lack keep their default. */
export async function fillTable(
  trx: Trx,
  table: BackedUpTable,
  columns: string[],
  lines: AsyncIterable<string>,
): Promise<void> {
  const wanted = sql.join(columns.map((column) => sql.ref(column)))
  const name = sql.table(table)
  const write = async (step: string[]) => {
    await sql`insert into ${name} (${wanted}) overriding system value
      select ${wanted} from jsonb_populate_recordset(null::${name}, ${`[${step.join(',')}]`}::jsonb)
      `.execute(trx)
  }
  let step: string[] = []
  let bytes = 0
  for await (const line of lines) {
    step.push(line)
    bytes += line.length
    if (step.length < STEP && bytes < STEP_BYTES) continue
    await write(step)
    step = []
    bytes = 0
  }
  if (step.length > 0) await write(step)
  if (table === 'set_aside') {
    await sql`select setval(pg_get_serial_sequence('set_aside', 'set_aside_id'),
      greatest((select max(set_aside_id) from set_aside), 1),
      exists (select from set_aside))`.execute(trx)
  }
}
