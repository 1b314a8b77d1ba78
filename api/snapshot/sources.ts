// What a phone is told of sources, of baths, and of the holds that stand.
import { sql } from 'kysely'
import { routesOf } from '#trade/health-agents.ts'
import type {
  SnapshotBathsShape,
  SnapshotHoldsShape,
  SnapshotSourcesShape,
} from '#wire/api-snapshot.ts'
import type { Database } from '../../db/connect.ts'
import { isCarriedByBlade, readFoulSpells, readHeldWood } from '../lots/foul-spells.ts'
import { readAllSources } from '../lots/lot-origins.ts'
import type { Season } from './season.ts'

type SourceRow = {
  source_id: string
  name: string
  level: string
  variety_id: string
  clone: string | null
  scheme: string | null
  class: string | null
}

/** Every source that is registered, or that entries tell a standing of, with what it came of. */
export async function readSourcesPart(
  db: Database,
  { zone }: Season,
): Promise<Omit<SnapshotSourcesShape, 'digest'>> {
  const standings = await readAllSources(db, zone)
  const rows = await sql<SourceRow>`
    select source_id, name, level, variety_id, clone, scheme, class
    from source_now`.execute(db)
  const registered = new Map(rows.rows.map((row) => [row.source_id, row]))
  const sources = [...standings].map(([id, source]) => {
    const row = registered.get(id)
    return {
      id,
      name: row?.name ?? null,
      level: row?.level ?? null,
      parentId: source.parentId,
      varietyId: row?.variety_id ?? null,
      clone: row?.clone ?? null,
      scheme: row?.scheme ?? null,
      className: row?.class ?? null,
      standings: source.standings.map(({ standing, fromAt }): [string, number] => [
        standing,
        fromAt,
      ]),
    }
  })
  const edges = await sql<{ to_id: string; from_id: string }>`
    with recursive up(id) as (
      select source_id from source
      union
      select e.from_id from up join lineage_edge e on e.to_id = up.id
    )
    select distinct e.to_id, e.from_id from up join lineage_edge e on e.to_id = up.id
    order by e.to_id, e.from_id`.execute(db)
  return {
    sources: sources.sort(byId),
    edges: edges.rows.map(({ to_id, from_id }): [string, string] => [to_id, from_id]),
  }
}

/** Baths that stand, and those filled this season or the last. */
export async function readBathsPart(
  db: Database,
  season: Season,
): Promise<Omit<SnapshotBathsShape, 'digest'>> {
  const filled = await sql<{ bath_id: string; place_id: string; filled_at: Date }>`
    select bath_id, place_id, filled_at from bath b
    where exists (select 1 from bath again where again.bath_id = b.bath_id
        and again.filled_at >= ${new Date(season.beforeMs)})
      or not exists (select 1 from bath_end e where e.bath_id = b.bath_id)
    order by bath_id, filled_at, entry_id`.execute(db)
  const baths = new Map<string, { id: string; filled: [string, number][]; emptied: number[] }>()
  const bathOf = (id: string) => {
    const bath = baths.get(id) ?? { id, filled: [], emptied: [] }
    baths.set(id, bath)
    return bath
  }
  for (const row of filled.rows) {
    bathOf(row.bath_id).filled.push([row.place_id, row.filled_at.getTime()])
  }
  const emptied = await sql<{ bath_id: string; emptied_at: Date }>`
    select bath_id, emptied_at from bath_end
    where bath_id = any(${[...baths.keys()]}::uuid[])
      or emptied_at >= ${new Date(season.beforeMs)}
    order by bath_id, emptied_at, entry_id`.execute(db)
  for (const row of emptied.rows) bathOf(row.bath_id).emptied.push(row.emptied_at.getTime())
  return { baths: [...baths.values()].sort(byId) }
}

/** Every hold that stands, and what the wood that came of anything held has touched. */
export async function readHoldsPart(db: Database): Promise<Omit<SnapshotHoldsShape, 'digest'>> {
  const rows = await db
    .selectFrom('standing_hold')
    .select(['hold_id', 'on_kind', 'on_id', 'agent'])
    .orderBy('hold_id')
    .orderBy('entry_id')
    .execute()
  const holds = rows.map((row) => {
    return { holdId: row.hold_id, onKind: row.on_kind, onId: row.on_id, agent: row.agent }
  })
  const travelling = holds.filter(({ agent }) => {
    const routes = routesOf(agent)
    return routes.has('water') || routes.has('blade')
  })
  const wood = await readHeldWood(
    db,
    travelling.map(({ onId }) => onId),
  )
  const onBlades = new Set(holds.filter(isCarriedByBlade).map(({ onId }) => onId))
  const cutting = wood.filter(({ cameOf }) => cameOf.some((id) => onBlades.has(id)))
  const spells = await readFoulSpells(
    db,
    cutting.map(({ lotId }) => lotId),
    null,
  )
  return {
    holds,
    heldWood: await withBaths(db, wood),
    spells: spells.map(({ blade, cuts, cleanedAt }) => ({
      blade,
      cuts: cuts.map(({ lotId, firstAt, lastAt }) => [lotId, firstAt, lastAt]),
      cleanedAt,
    })),
  }
}

async function withBaths(
  db: Database,
  wood: { lotId: string; cameOf: string[] }[],
): Promise<SnapshotHoldsShape['heldWood']> {
  const ids = wood.map(({ lotId }) => lotId)
  const soaked = await sql<{ lot_id: string; id: string; at: Date }>`
    select lot_id, account_id as id, min(occurred_at) as at from movement
    where lot_id = any(${ids}::uuid[]) and account_kind = 'bath' and count > 0
    group by 1, 2 order by 1, 2`.execute(db)
  const baths = new Map<string, [string, number][]>()
  for (const { lot_id, id, at } of soaked.rows) {
    baths.set(lot_id, [...(baths.get(lot_id) ?? []), [id, at.getTime()]])
  }
  return wood.map((one) => ({ ...one, baths: baths.get(one.lotId) ?? [] }))
}

const byId = (one: { id: string }, other: { id: string }) => (one.id < other.id ? -1 : 1)
