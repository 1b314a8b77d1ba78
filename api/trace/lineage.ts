// Walks what is made of what, between sources and lots, in either direction.
import { sql } from 'kysely'
import type { Database } from '../../db/connect.ts'

/** One step of lineage: `toId` came of `fromId`; `how` says by which kind of step. */
export type LineageEdge = { fromId: string; toId: string; how: string }

/** The ids reached, the start included, and every edge between them that was walked. */
export type Lineage = { ids: string[]; edges: LineageEdge[] }

/** Everything that came of `startIds`: the sources and lots downstream. */
export function descendants(db: Database, startIds: string[]): Promise<Lineage> {
  return walk(db, startIds, 'from_id', 'to_id')
}

/** Everything that `startIds` came of: the sources and lots upstream. */
export function ancestors(db: Database, startIds: string[]): Promise<Lineage> {
  return walk(db, startIds, 'to_id', 'from_id')
}

/**
 * One recursive query on ids alone: UNION drops what was reached before, so that a diamond costs
 * no more than its edges and a circle in bad data ends.
 */
async function walk(
  db: Database,
  startIds: string[],
  here: 'from_id' | 'to_id',
  there: 'from_id' | 'to_id',
): Promise<Lineage> {
  if (startIds.length === 0) return { ids: [], edges: [] }
  const reached = await sql<{ id: string }>`
    with recursive reach(id) as (
      select unnest(${startIds}::uuid[])
      union
      select e.${sql.ref(there)} from reach r join lineage_edge e on e.${sql.ref(here)} = r.id
    )
    select id from reach`.execute(db)
  const ids = reached.rows.map((row) => row.id)
  const edges = await sql<LineageEdge>`
    select distinct from_id as "fromId", to_id as "toId", how from lineage_edge
    where ${sql.ref(here)} = any(${ids}::uuid[])`.execute(db)
  return { ids, edges: edges.rows }
}
