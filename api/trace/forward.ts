// Traces forward: every lot and every vine that holds anything of a source, lot or bath.
import { sql } from 'kysely'
import type { Database } from '../../db/connect.ts'
import { descendants } from './lineage.ts'
import type { Lineage } from './lineage.ts'
import { describeNodes } from './nodes.ts'
import type { LotNode, SourceNode } from './nodes.ts'

/** Where a forward trace can start. */
export type ForwardStart = { kind: 'source' | 'lot' | 'bath'; id: string }

/** A row with vines that are reached. */
export type ReachedRow = {
  row_id: string
  row_label: string | null
  block_id: string | null
  block: string | null
  vines: number
  grafts: number
  buds: number
}

/** One reached vine and what reaches it: a graft, or a layer of its trunk. */
export type ReachedVine = {
  row_id: string
  position: number
  part: string
  graft_id: string | null
  origin_id: string
  at: Date | null
}

/** The lineage downstream of the start, with the vines counted by row. */
export type TraceForward = {
  lineage: Lineage
  sources: SourceNode[]
  lots: LotNode[]
  unknown: string[]
  rows: ReachedRow[]
}

/** Traces forward from a source, lot or bath (every lot that soaked in it). */
export async function traceForward(db: Database, start: ForwardStart): Promise<TraceForward> {
  const lineage = await descendants(db, await startIds(db, start))
  const [nodes, rows] = await Promise.all([
    describeNodes(db, lineage.ids),
    reachedRows(db, lineage.ids),
  ])
  return { lineage, ...nodes, rows }
}

/** Where the walk begins: the thing itself, or the lots that were in a bath. */
export async function startIds(db: Database, start: ForwardStart): Promise<string[]> {
  if (start.kind !== 'bath') return [start.id]
  const rows = await db
    .selectFrom('soak')
    .select('lot_id')
    .distinct()
    .where('bath_id', '=', start.id)
    .execute()
  return rows.map((row) => row.lot_id)
}

/** Vines whose grafts or trunk layers come of `ids`, in order of row and position. */
export async function reachedVines(db: Database, ids: string[]): Promise<ReachedVine[]> {
  const rows = await sql<ReachedVine>`${reached(ids)}
    select row_id, position, part, graft_id, origin_id, at from reached
    order by row_id, position, at`.execute(db)
  return rows.rows
}

/** How many vines of each row each of `ids` reaches itself. */
export async function reachedByOrigin(
  db: Database,
  ids: string[],
): Promise<{ row_id: string; origin_id: string; vines: number }[]> {
  const rows = await sql<{ row_id: string; origin_id: string; vines: number }>`${reached(ids)}
    select row_id, origin_id, count(distinct position)::int as vines
    from reached group by 1, 2`.execute(db)
  return rows.rows
}

async function reachedRows(db: Database, ids: string[]): Promise<ReachedRow[]> {
  const rows = await sql<ReachedRow>`${reached(ids)}, counted as (
      select row_id, count(distinct position)::int as vines, count(graft_id)::int as grafts,
        coalesce(sum(buds), 0)::int as buds
      from reached group by row_id
    )
    select c.row_id, r.label as row_label, r.block_id, b.name as block, c.vines, c.grafts, c.buds
    from counted c
      left join block_row_now r on r.row_id = c.row_id
      left join block_now b on b.block_id = r.block_id
    order by b.name, r.sequence, c.row_id`.execute(db)
  return rows.rows
}

function reached(ids: string[]) {
  return sql`with reached as (
      select row_id, position, 'graft' as part, entry_id as graft_id, lot_id as origin_id,
        bud_count as buds, grafted_at as at
      from graft where lot_id = any(${ids}::uuid[])
      union all
      select t.row_id, p.position, t.role, null, t.origin_id, null, null
      from trunk_layer t
        cross join lateral generate_series(t.from_position, t.to_position) as p(position)
      where t.origin_id = any(${ids}::uuid[])
        and not exists (
          select 1 from block_row r where r.entry_id = t.entry_id and p.position = any(r.missing)
        )
    )`
}
