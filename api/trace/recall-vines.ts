// The vines that a recall reaches, row by row, each with the route that reaches it.
import { sql } from 'kysely'
import type { Database } from '../../db/connect.ts'
import { bundled, eachOf } from './recall-cuts.ts'
import type { Bundled } from './recall-cuts.ts'
import { given } from './recall-steps.ts'
import type { ReachedThing, Spread } from './recall-spread.ts'

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

/** Every reached vine by row; where several routes reach one, the surest is told. */
export async function reachedRowVines(db: Database, spread: Spread): Promise<RecalledRow[]> {
  const things = [...spread.things.values()]
  const vines = new Map<string, Map<number, RecalledVine>>()
  const add = (rowId: string, vine: RecalledVine) => {
    let row = vines.get(rowId)
    if (row === undefined) vines.set(rowId, (row = new Map<number, RecalledVine>()))
    const before = row.get(vine.position)
    if (before === undefined || isSurer(vine, before)) row.set(vine.position, vine)
  }
  for (const thing of spread.blades === null ? [] : things) {
    for (const { vine, firstAt } of spread.blades?.graftsOf(thing) ?? []) {
      const { rowId, position } = vine
      add(rowId, { position, how: 'buds', viaId: thing.id, at: new Date(firstAt) })
    }
  }
  for (const bundle of spread.blades === null ? await graftsOf(db, things) : []) {
    eachOf(bundle, (position, at) => {
      add(bundle.row_id, { position, how: 'buds', viaId: bundle.via, at: new Date(at) })
    })
  }
  for (const { row_id, position, via } of await trunkVinesOf(db, things)) {
    add(row_id, { position, how: 'trunk', viaId: via, at: null })
  }
  for (const { row_id, position, at } of spread.vines) {
    add(row_id, { position, how: 'blade', viaId: null, at })
  }
  return describeRows(db, vines)
}

type GraftsOf = Bundled & { row_id: string; via: string }

/** Grafts of reached wood, bundled by row and lot. */
async function graftsOf(db: Database, things: readonly ReachedThing[]): Promise<GraftsOf[]> {
  const rows = await sql<GraftsOf>`
    with given as (${given(things)})
    select g.row_id, g.lot_id as via, ${bundled}
    from given t join graft g on g.lot_id = t.id and g.grafted_at >= t.at group by 1, 2`.execute(db)
  return rows.rows
}

type TrunkVine = { row_id: string; position: number; via: string }

async function trunkVinesOf(db: Database, things: readonly ReachedThing[]): Promise<TrunkVine[]> {
  const rows = await sql<TrunkVine>`
    with given as (${given(things)})
    select l.row_id, p.position, t.id as via
    from given t join trunk_layer l on l.origin_id = t.id
      cross join lateral generate_series(l.from_position, l.to_position) as p(position)
    where not exists (select 1 from block_row r
      where r.entry_id = l.entry_id and p.position = any(r.missing))`.execute(db)
  return rows.rows
}

/** Buds before a trunk before a blade; of several grafts the first, then that of the lesser id. */
function isSurer(vine: RecalledVine, before: RecalledVine): boolean {
  if (vine.how !== before.how) return surer[vine.how] < surer[before.how]
  const apart = (vine.at?.getTime() ?? 0) - (before.at?.getTime() ?? 0)
  return apart < 0 || (apart === 0 && (vine.viaId ?? '') < (before.viaId ?? ''))
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
