// Which things the entries since a snapshot may have changed: every id and code that they name.
import { sql } from 'kysely'
import { SNAPSHOT_ENTRY_LIMIT } from '#wire/api-snapshot.ts'
import type { Database } from '../../db/connect.ts'
import { journalSize } from '../journal/read-journal.ts'

/** How far a phone's snapshot is. */
export type Stand = { next: number; lastHash: string; season: number }

/** Things named since then; `ids` of any kind, for they are drawn from one space. */
export type Touched = { ids: Set<string>; codes: Set<string> }

/** Where the journal stands now. */
export async function readStand(db: Database, season: number): Promise<Stand> {
  const next = await journalSize(db)
  return { next, lastHash: await hashBefore(db, next), season }
}

/**
 * What may have changed between `from` and `to`; null when the whole must be sent: too much has
 * happened, a new season began, the journal is not the one that `from` was taken of, or the
 * nursery's calendar was set anew.
 *
 * Facts about a thing come only from entries that name it. So whatever the entries since then
 * name anywhere in their bodies, or the entries that they withdraw, is all that can have changed;
 * a graft that is named stands for its row as well, a bundle for every lot that claims it, and a
 * logger that was moved or read for the lots that lay where it ever stood. The weather is a part of
 * its own.
 */
export async function readTouched(db: Database, from: Stand, to: Stand): Promise<Touched | null> {
  const behind = to.next - from.next
  if (behind < 0 || behind > SNAPSHOT_ENTRY_LIMIT || from.season !== to.season) return null
  if (from.lastHash !== (await hashBefore(db, from.next))) return null
  const touched: Touched = { ids: new Set(), codes: new Set() }
  if (behind === 0) return touched
  const entries = await readBodies(db, from.next)
  if (entries.some(({ kind }) => widelyFelt.has(kind))) return null
  for (const { body } of entries) collect(touched, body)
  await addThingsBehind(db, touched)
  const ofLoggers = entries.filter(({ kind }) => tellsOfWarmth.has(kind))
  if (ofLoggers.length > 0) await addLotsNearLoggers(db, touched, ofLoggers)
  return touched
}

/** The calendar, limits and places are behind facts of things that such an entry does not name. */
const widelyFelt = new Set(['nursery.described', 'policy.set', 'place.registered'])

/** Entries that name a logger, and perhaps a place, but not the wood that lies there. */
const tellsOfWarmth = new Set(['temperature.logged', 'logger.registered'])

async function hashBefore(db: Database, next: number): Promise<string> {
  if (next === 0) return ''
  const row = await db
    .selectFrom('entry')
    .select('leaf_hash')
    .where('journal_index', '=', next - 1)
    .executeTakeFirst()
  return row?.leaf_hash.toString('hex') ?? 'no such entry'
}

/** The entries from an index on, and those that they withdraw. */
async function readBodies(db: Database, from: number): Promise<{ kind: string; body: unknown }[]> {
  const rows = await sql<{ kind: string; canonical: Buffer }>`
    with since as (select id, kind, canonical from entry where journal_index >= ${from})
    select kind, canonical from since
    union all
    select e.kind, e.canonical from entry e where e.id in (
      select w.withdrawn_id from withdrawal w where w.entry_id in (select id from since))
  `.execute(db)
  return rows.rows.map(({ kind, canonical }) => {
    const entry = JSON.parse(canonical.toString('utf8')) as { body: unknown }
    return { kind, body: entry.body }
  })
}

const idPattern = /^[0-9a-f]{8}(-[0-9a-f]{4}){3}-[0-9a-f]{12}$/

function collect(touched: Touched, value: unknown): void {
  if (typeof value === 'string') {
    if (idPattern.test(value)) touched.ids.add(value)
    else if (/^[0-9A-HJKMNP-TV-Z]{11}$/.test(value)) touched.codes.add(value)
  } else if (typeof value === 'object' && value !== null) {
    for (const inner of Object.values(value)) collect(touched, inner)
  }
}

/** Rows of grafts that are named, and lots of bundles. */
async function addThingsBehind(db: Database, touched: Touched): Promise<void> {
  const ids = sql`any(${[...touched.ids]}::uuid[])`
  const rows = await sql<{ id: string }>`
    select row_id as id from graft where entry_id = ${ids}
    union select lot_id from bundle where bundle_id = ${ids}`.execute(db)
  for (const { id } of rows.rows) touched.ids.add(id)
}

/** Wood in tanks counts as well, and so does that of a place inside one where the logger stood. */
async function addLotsNearLoggers(
  db: Database,
  touched: Touched,
  entries: { body: unknown }[],
): Promise<void> {
  const named: Touched = { ids: new Set(), codes: new Set() }
  for (const { body } of entries) collect(named, body)
  const ids = [...named.ids]
  const rows = await sql<{ lot_id: string }>`
    with recursive inside(id) as (
      select unnest(${ids}::uuid[])
      union
      select place_id from logger where logger_id = any(${ids}::uuid[]) and place_id is not null
      union
      select p.place_id from inside join place p on p.inside_place_id = inside.id
    )
    select m.lot_id from movement m join inside on m.account_id = inside.id
    where m.account_kind = 'place'
    union
    select m.lot_id from movement m
    join bath on bath.bath_id = m.account_id join inside on bath.place_id = inside.id
    where m.account_kind = 'bath'`.execute(db)
  for (const { lot_id } of rows.rows) touched.ids.add(lot_id)
}
