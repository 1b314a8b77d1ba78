// Everything that lots came of: lots and sources upstream, and which of it is the same wood.
import { sql } from 'kysely'
import { sameWoodOf } from '#trade/same-wood.ts'
import type { SameWood } from '#trade/same-wood.ts'
import type { Database } from '../../db/connect.ts'
import type { Tables } from '../../db/tables.ts'

/** A lot as the first entry that made it says. */
export type LotRow = Pick<
  Tables['lot'],
  | 'lot_id'
  | 'made_by'
  | 'material'
  | 'variety_id'
  | 'clone'
  | 'scheme'
  | 'class'
  | 'source_id'
  | 'buds_per_stick'
> & { occurred_at: Date }

/** What is upstream of some lots. */
export type Upstream = {
  /** For each lot asked for: every lot and source that it came of, itself included. */
  reached: Map<string, string[]>
  /** Lots that are known, among all that were reached. */
  lots: Map<string, LotRow>
  /** For each lot asked for: itself and the lots it was parted from or combined of. */
  sameWood: Map<string, SameWood[]>
}

/** Walks upstream of `lotIds`: three queries, however many lots. */
export async function readUpstream(db: Database, lotIds: readonly string[]): Promise<Upstream> {
  const reached = await walkUp(db, lotIds)
  const ids = [...new Set([...reached.values()].flat())]
  const [lots, parents] = await Promise.all([readLots(db, ids), readParents(db, ids)])
  const madeAt = (id: string) => lots.get(id)?.occurred_at.getTime()
  const parentsOf = (id: string) => parents.get(id) ?? []
  const sameWood = new Map(lotIds.map((id) => [id, sameWoodOf(id, madeAt, parentsOf)]))
  return { reached, lots, sameWood }
}

/** For each id of a lot or source: everything it came of, itself first. */
export async function walkUp(db: Database, ids: readonly string[]): Promise<Map<string, string[]>> {
  const reached = new Map(ids.map((id) => [id, [id]]))
  if (ids.length === 0) return reached
  const rows = await sql<{ root: string; id: string }>`
    with recursive up(root, id) as (
      select id, id from unnest(${[...reached.keys()]}::uuid[]) as id
      union
      select up.root, e.from_id from up join lineage_edge e on e.to_id = up.id
    )
    select root, id from up where root <> id`.execute(db)
  for (const { root, id } of rows.rows) reached.get(root)?.push(id)
  return reached
}

async function readLots(db: Database, ids: string[]): Promise<Map<string, LotRow>> {
  const rows = await sql<LotRow>`
    select lot_id, made_by, material, variety_id, clone, scheme, class, source_id,
      buds_per_stick, occurred_at
    from lot_first where lot_id = any(${ids}::uuid[])`.execute(db)
  return new Map(rows.rows.map((row) => [row.lot_id, row]))
}

async function readParents(db: Database, ids: string[]): Promise<Map<string, string[]>> {
  const rows = await sql<{ lot_id: string; parents: string[] }>`
    select lot_id, array_agg(distinct parent_lot_id order by parent_lot_id) as parents
    from lot_parent where lot_id = any(${ids}::uuid[]) group by lot_id`.execute(db)
  return new Map(rows.rows.map((row) => [row.lot_id, row.parents]))
}
