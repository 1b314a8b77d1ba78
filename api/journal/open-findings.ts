// The findings that are open now about anything a pushed batch tells of.
import { sql } from 'kysely'
import { FINDING_LIMIT } from '#wire/api-entries.ts'
import type { Entry } from '#wire/entry.ts'
import type { Database } from '../../db/connect.ts'
import { factsOf } from './facts.ts'
import { scopesOf } from './scopes.ts'
import type { Scope } from './scopes.ts'
import type { EntryResult, Received } from './ingest.ts'
import { readStored } from './read-entry.ts'

/** Findings by key, and whether there are more of them. */
export type OpenFindings = { findings: { key: string; code: string }[]; moreFindings: boolean }

/** Open findings in the scopes of all entries of the batch that stand in the journal. */
export async function openFindings(
  db: Database,
  received: Received[],
  results: EntryResult[],
): Promise<OpenFindings> {
  // What was not set aside has just been read as an entry, so it is one.
  const entries = received.flatMap(({ value }, nr) =>
    results[nr]?.result === 'set aside' ? [] : [value as Entry],
  )
  const withdrawn = await withdrawnEntries(db, entries)
  const scopes = new Map<string, Scope>()
  for (const entry of [...entries, ...withdrawn]) {
    for (const scope of scopesOf(entry, factsOf(entry))) {
      scopes.set(`${scope.kind} ${scope.id}`, scope)
    }
  }
  return findingsIn(db, [...scopes.values()])
}

/** How many findings nobody has answered. */
export async function countOpenFindings(db: Database): Promise<number> {
  const row = await db
    .selectFrom('finding_open')
    .select(({ fn }) => fn.countAll<number>().as('count'))
    .executeTakeFirstOrThrow()
  return row.count
}

async function findingsIn(db: Database, scopes: Scope[]): Promise<OpenFindings> {
  if (scopes.length === 0) return { findings: [], moreFindings: false }
  const kinds = scopes.map((scope) => scope.kind)
  const ids = scopes.map((scope) => scope.id)
  const { rows } = await sql<{ key: string; code: string }>`
    select f.finding_key as key, f.code from finding_open f
    where (f.scope_kind, f.scope_id) in (select * from unnest(${kinds}::text[], ${ids}::text[]))
    order by f.finding_key limit ${FINDING_LIMIT + 1}`.execute(db)
  return { findings: rows.slice(0, FINDING_LIMIT), moreFindings: rows.length > FINDING_LIMIT }
}

/** The entries that the batch withdraws: their scopes are touched as well. */
async function withdrawnEntries(db: Database, entries: Entry[]): Promise<Entry[]> {
  const ids = entries.flatMap((entry) =>
    entry.kind === 'entry.withdrawn' ? [entry.body.entryId] : [],
  )
  if (ids.length === 0) return []
  const rows = await db
    .selectFrom('entry')
    .select('canonical')
    .where('id', '=', sql<string>`any(${ids}::uuid[])`)
    .execute()
  return rows.map((row) => readStored(row.canonical))
}
