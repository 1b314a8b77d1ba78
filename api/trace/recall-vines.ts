// The vines that a recall reaches, row by row, each with the route that reaches it.
import { sql } from 'kysely'
import type { Database } from '../../db/connect.ts'
import { given } from './recall-steps.ts'
import type { Spread } from './recall-spread.ts'

/** How the agent may have come to a vine: by buds set, by a layer of its trunk, or by a blade. */
export type VineRoute = 'buds' | 'trunk' | 'blade'

/** A vine that the agent may have reached; `viaId` is the lot or source that brought it, if any. */
export type RecalledVine = {
  position: number
  how: VineRoute
  viaId: string | null
  /** When the buds were set or the blade cut; null for a trunk. */
  at: Date | null
}

/** A row with the vines that are reached, in order of position, each once. */
export type RecalledRow = {
  row_id: string
  row_label: string | null
  block_id: string | null
  block: string | null
  position_count: number | null
  vines: RecalledVine[]
}

type VineRow = { row_id: string; position: number; how: VineRoute; via: string; at: Date | null }

/** Every reached vine by row; where several routes reach one, the surest is told. */
export async function reachedRowVines(db: Database, spread: Spread): Promise<RecalledRow[]> {
  const things = [...spread.things.values()]
  const rows = await sql<VineRow>`
    with given as (${given(things)})
    select g.row_id, g.position, 'buds' as how, t.id as via, min(g.grafted_at) as at
      from given t join graft g on g.lot_id = t.id and g.grafted_at >= t.at group by 1, 2, 4
    union all
    select l.row_id, p.position, 'trunk', t.id, null
      from given t join trunk_layer l on l.origin_id = t.id
        cross join lateral generate_series(l.from_position, l.to_position) as p(position)
      where not exists (select 1 from block_row r
        where r.entry_id = l.entry_id and p.position = any(r.missing))`.execute(db)
  const vines = new Map<string, Map<number, RecalledVine>>()
  const add = (rowId: string, vine: RecalledVine) => {
    const row = vines.get(rowId) ?? new Map<number, RecalledVine>()
    const before = row.get(vine.position)
    if (before === undefined || surer[vine.how] < surer[before.how]) row.set(vine.position, vine)
    vines.set(rowId, row)
  }
  for (const { row_id, position, how, via, at } of rows.rows) {
    add(row_id, { position, how, viaId: via, at })
  }
  for (const { row_id, position, at } of spread.byBlade.values()) {
    add(row_id, { position, how: 'blade', viaId: null, at })
  }
  return describeRows(db, vines)
}

const surer: Record<VineRoute, number> = { buds: 0, trunk: 1, blade: 2 }

type RowLine = Omit<RecalledRow, 'vines'>

async function describeRows(
  db: Database,
  vines: Map<string, Map<number, RecalledVine>>,
): Promise<RecalledRow[]> {
  const ids = [...vines.keys()]
  const lines = await sql<RowLine>`
    select w.row_id, r.label as row_label, r.block_id, b.name as block, r.position_count
    from unnest(${ids}::uuid[]) as w(row_id)
      left join block_row_now r on r.row_id = w.row_id
      left join block_now b on b.block_id = r.block_id
    order by b.name nulls last, r.sequence nulls last, w.row_id`.execute(db)
  return lines.rows.map((row) => ({
    ...row,
    vines: [...(vines.get(row.row_id)?.values() ?? [])].sort(
      (one, other) => one.position - other.position,
    ),
  }))
}
