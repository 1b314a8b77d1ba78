// Which sources a lot's wood was cut from, when, and in what standing they were.
import { sql } from 'kysely'
import type { Standing, StandingChange } from '#trade/lot-facts.ts'
import type { SourceStandings } from '#trade/wood-origins.ts'
import { startOfDay } from '#trade/zone-time.ts'
import type { Database } from '../../db/connect.ts'
import type { Upstream } from './upstream.ts'

/** A registered source is in good standing from here on unless an entry says otherwise. */
const ALWAYS = Date.UTC(1900, 0, 1)

/**
 * The standings of every source that wood of these lots was cut from, and of the blocks these
 * stand in. A change counts from the beginning of its day in the IANA time zone `zone`. A source
 * that nobody registered has only what entries say of it. Two queries.
 */
export async function readSources(
  db: Database,
  upstream: Upstream,
  zone: string,
): Promise<Map<string, SourceStandings>> {
  const ids = [...new Set([...upstream.lots.values()].flatMap((lot) => lot.source_id ?? []))]
  return standingsOf(db, ids, zone)
}

/** The same of every source that is registered, or that an entry tells a standing of. */
export async function readAllSources(
  db: Database,
  zone: string,
): Promise<Map<string, SourceStandings>> {
  const rows = await sql<{ source_id: string }>`
    select source_id from source union select source_id from source_standing`.execute(db)
  return standingsOf(
    db,
    rows.rows.map((row) => row.source_id),
    zone,
  )
}

async function standingsOf(
  db: Database,
  ids: string[],
  zone: string,
): Promise<Map<string, SourceStandings>> {
  if (ids.length === 0) return new Map()
  const sources = new Map<string, { parentId: string | null; standings: StandingChange[] }>()
  for (const row of await readRegistered(db, ids)) {
    const standings: StandingChange[] = row.registered ? [{ standing: 'good', fromAt: ALWAYS }] : []
    sources.set(row.source_id, { parentId: row.parent_source_id, standings })
  }
  const changes = await sql<{ source_id: string; standing: Standing; effective_from: string }>`
    select source_id, standing, effective_from from source_standing
    where source_id = any(${[...sources.keys()]}::uuid[])
    order by source_id, effective_from, standing`.execute(db)
  for (const { source_id, standing, effective_from } of changes.rows) {
    const fromAt = startOfDay(effective_from, zone)
    sources.get(source_id)?.standings.push({ standing, fromAt })
  }
  return sources
}

type RegisteredRow = { source_id: string; parent_source_id: string | null; registered: boolean }

/** The sources and the blocks they stand in, by their last registration. */
async function readRegistered(db: Database, ids: string[]): Promise<RegisteredRow[]> {
  const rows = await sql<RegisteredRow>`
    with own as (
      select id, (select s.parent_source_id from source s where s.source_id = id
        order by s.occurred_at desc, s.entry_id desc limit 1) as parent_source_id
      from unnest(${ids}::uuid[]) as id
    ), named as (
      select id, parent_source_id from own
      union all
      select distinct parent_source_id, null::uuid from own
      where parent_source_id is not null and parent_source_id <> all(${ids}::uuid[])
    )
    select id as source_id, parent_source_id,
      exists (select 1 from source s where s.source_id = id) as registered
    from named`.execute(db)
  return rows.rows
}
