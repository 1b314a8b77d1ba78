// Which sources a lot's wood was cut from, when, and in what standing they were.
import { sql } from 'kysely'
import type { KnownLotFacts, SourceFacts, Standing, StandingChange } from '#trade/lot-facts.ts'
import { instantOfLocal } from '#trade/zone-time.ts'
import type { Database } from '../../db/connect.ts'
import type { Upstream } from './upstream.ts'

/** A registered source is in good standing from here on unless an entry says otherwise. */
const ALWAYS = Date.UTC(1900, 0, 1)

/** A source with its standings, and the block that it stands in. */
export type SourceStandings = { parentId: string | null; standings: StandingChange[] }

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
  if (ids.length === 0) return new Map()
  const sources = new Map<string, SourceStandings>()
  for (const row of await readRegistered(db, ids)) {
    const standings: StandingChange[] = row.registered ? [{ standing: 'good', fromAt: ALWAYS }] : []
    sources.set(row.source_id, { parentId: row.parent_source_id, standings })
  }
  const changes = await sql<{ source_id: string; standing: Standing; effective_from: string }>`
    select source_id, standing, effective_from from source_standing
    where source_id = any(${[...sources.keys()]}::uuid[])
    order by source_id, effective_from, standing`.execute(db)
  for (const { source_id, standing, effective_from } of changes.rows) {
    const fromAt = beginningOf(effective_from, zone)
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

/**
 * When and from what the lot was cut. Wood combined of several cuts is as old as the oldest of
 * them, and its age is unknown when that of a part is. Sources and the blocks they stand in are
 * named once for each time of cutting.
 */
export function originsOf(
  upstream: Upstream,
  lotId: string,
  sources: Map<string, SourceStandings>,
): Pick<KnownLotFacts, 'cutAt' | 'receivedAt' | 'sources' | 'originUnknown'> {
  const cuts: (number | null)[] = []
  const received: number[] = []
  const found = new Map<string, SourceFacts>()
  let originUnknown = false
  for (const { lotId: id } of upstream.sameWood.get(lotId) ?? []) {
    const lot = upstream.lots.get(id)
    if (lot === undefined) {
      originUnknown = true
      cuts.push(null)
    } else if (lot.made_by === 'cut' || lot.made_by === 'received') {
      const at = lot.occurred_at.getTime()
      const cutAt = lot.made_by === 'cut' ? at : null
      cuts.push(cutAt)
      if (cutAt === null) received.push(at)
      if (lot.source_id === null) originUnknown = true
      else addSource(found, lot.source_id, cutAt, sources)
    }
  }
  const known = cuts.filter((cutAt): cutAt is number => cutAt !== null)
  return {
    cutAt: known.length > 0 && known.length === cuts.length ? Math.min(...known) : null,
    receivedAt: received.length > 0 ? Math.min(...received) : null,
    sources: [...found.values()],
    originUnknown,
  }
}

function addSource(
  found: Map<string, SourceFacts>,
  sourceId: string,
  cutAt: number | null,
  sources: Map<string, SourceStandings>,
): void {
  const source = sources.get(sourceId)
  found.set(`${sourceId} ${cutAt}`, { sourceId, standings: source?.standings ?? [], cutAt })
  const parentId = source?.parentId ?? null
  if (parentId === null) return
  const standings = sources.get(parentId)?.standings ?? []
  found.set(`${parentId} ${cutAt}`, { sourceId: parentId, standings, cutAt })
}

/** Midnight in the zone, or the first moment of a day that begins by jumping over midnight. */
function beginningOf(day: string, zone: string): number {
  for (const time of ['00:00', '01:00', '02:00']) {
    const local = instantOfLocal(`${day}T${time}`, zone)
    if (local.ok) return local.epochMs
  }
  return Date.parse(`${day}T00:00:00Z`)
}
