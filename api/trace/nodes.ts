// Names and describes the sources and lots that a trace has reached.
import { sql } from 'kysely'
import type { Database } from '../../db/connect.ts'

/** A source in a trace. */
export type SourceNode = {
  source_id: string
  name: string
  level: string
  registry_number: string | null
  variety: string | null
  clone: string | null
  scheme: string | null
  class: string | null
  held: boolean
}

/** A lot in a trace. */
export type LotNode = {
  lot_id: string
  reference: string
  made_by: string
  variety: string | null
  clone: string | null
  class: string | null
  source_id: string | null
  made_at: Date
  held: boolean
}

/** What `ids` are; an id that nothing describes is in neither list and is told in `unknown`. */
export async function describeNodes(
  db: Database,
  ids: string[],
): Promise<{ sources: SourceNode[]; lots: LotNode[]; unknown: string[] }> {
  const sources = await sql<SourceNode>`
    select s.source_id, s.name, s.level, s.registry_number, v.name as variety, s.clone, s.scheme,
      s.class, exists (select 1 from standing_hold h where h.on_id = s.source_id) as held
    from source_standing_row s left join variety_now v on v.variety_id = s.variety_id
    where s.source_id = any(${ids}::uuid[]) order by s.name, s.source_id`.execute(db)
  const lots = await sql<LotNode>`
    select l.lot_id, l.reference, l.made_by, v.name as variety, l.clone, l.class, l.source_id,
      l.occurred_at as made_at,
      exists (select 1 from standing_hold h where h.on_id = l.lot_id) as held
    from lot_first l left join variety_now v on v.variety_id = l.variety_id
    where l.lot_id = any(${ids}::uuid[]) order by l.occurred_at, l.lot_id`.execute(db)
  const known = new Set([
    ...sources.rows.map((row) => row.source_id),
    ...lots.rows.map((row) => row.lot_id),
  ])
  const unknown = ids.filter((id) => !known.has(id))
  return { sources: sources.rows, lots: lots.rows, unknown }
}

/** The weights of the parents of `lotIds`, for shares on the steps between lots. */
export async function parentWeights(
  db: Database,
  lotIds: string[],
): Promise<{ lot_id: string; parent_lot_id: string; bud_equivalents: number }[]> {
  return db
    .selectFrom('lot_parent')
    .select(['lot_id', 'parent_lot_id', 'bud_equivalents'])
    .where('lot_id', '=', sql<string>`any(${lotIds}::uuid[])`)
    .execute()
}
