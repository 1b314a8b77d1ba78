// Reads many cuts at once for a recall: bundled by blade, row and lot, so that few rows come.
import { sql } from 'kysely'
import type { Database } from '../../db/connect.ts'
import { bladeOf, readCleanings } from '../grafting/blades.ts'
import type { ReachedThing } from './recall-spread.ts'

/** Times and positions of many cuts as two lists in text, side by side: `{1,2}`. */
export type Bundled = { positions: string; times: string }

/** The columns of {@link Bundled}, for a query on `graft g` that groups; microseconds. */
export const bundled = sql`array_agg(g.position)::text as positions,
  array_agg((date_part('epoch', g.grafted_at) * 1000000)::int8)::text as times`

/**
 * Tells the cuts of a bundle one by one: position and moment (epoch milliseconds, microseconds
 * after the point).
 */
export function eachOf(
  { positions, times }: Bundled,
  tell: (position: number, at: number) => void,
): void {
  const at = times.slice(1, -1).split(',')
  for (const [nr, position] of positions.slice(1, -1).split(',').entries()) {
    tell(Number(position), Number(at[nr]) / 1000)
  }
}

/** Cuts of one lot by one blade in one row. */
export type CutBundle = Bundled & { blade: string; row_id: string; lot_id: string }

/** Every cut of the blades from a moment on, and when each was disinfected (milliseconds). */
export async function readBlades(
  db: Database,
  blades: readonly string[],
  since: Date,
): Promise<{ cuts: CutBundle[]; cleanings: Map<string, number[]> }> {
  const cuts = await sql<CutBundle>`
    select ${bladeOf('g')} as blade, g.row_id, g.lot_id, ${bundled} from graft g
    where ${bladeOf('g')} = any(${blades}::uuid[]) and g.grafted_at >= ${since}
    group by 1, 2, 3`.execute(db)
  return { cuts: cuts.rows, cleanings: await readCleanings(db, blades, since) }
}

/** The blades that cut wood of these things after the first of them was reached. */
export async function bladesOfWood(
  db: Database,
  things: readonly ReachedThing[],
): Promise<string[]> {
  if (things.length === 0) return []
  const since = new Date(Math.min(...things.map(({ from }) => from.getTime())))
  const rows = await sql<{ blade: string }>`
    select distinct ${bladeOf('g')} as blade from graft g
    where g.lot_id = any(${things.map(({ id }) => id)}::uuid[])
      and g.grafted_at >= ${since}`.execute(db)
  return rows.rows.map(({ blade }) => blade)
}

/** Vines of one row, and the earliest moment (epoch milliseconds) that one of them was reached. */
export type VinesOfRow = { rowId: string; positions: number[]; at: number }

/** The blades, but for those in `known`, that cut on these vines from then on. */
export async function bladesOnVines(
  db: Database,
  rows: readonly VinesOfRow[],
  known: readonly string[],
): Promise<string[]> {
  if (rows.length === 0) return []
  const rowIds = rows.map(({ rowId }) => rowId)
  // Most cuts in these rows are by blades that are known: `offset 0` sorts those out first.
  const found = await sql<{ blade: string }>`
    with vine as materialized (
      select row_id, positions::int[] as positions, at
      from unnest(${rowIds}::uuid[],
        ${rows.map(({ positions }) => `{${positions.join(',')}}`)}::text[],
        ${rows.map(({ at }) => new Date(at).toISOString())}::timestamptz[]
      ) as v(row_id, positions, at)
    ), other as (
      select g.row_id, g.position, g.grafted_at, ${bladeOf('g')} as blade from graft g
      where g.row_id = any(${rowIds}::uuid[]) and ${bladeOf('g')} <> all(${known}::uuid[]) offset 0
    )
    select distinct o.blade from other o
      join vine v on v.row_id = o.row_id and o.grafted_at >= v.at and o.position = any(v.positions)
  `.execute(db)
  return found.rows.map(({ blade }) => blade)
}

/** A stretch of a trunk's layer that came of a thing. */
export type TrunkOf = { id: string; row_id: string; from_position: number; to_position: number }

/** Stretches of trunks that came of these things. */
export async function trunksOf(db: Database, things: readonly ReachedThing[]): Promise<TrunkOf[]> {
  if (things.length === 0) return []
  const rows = await sql<TrunkOf>`
    select l.origin_id as id, l.row_id, l.from_position, l.to_position from trunk_layer l
    where l.origin_id = any(${things.map(({ id }) => id)}::uuid[])`.execute(db)
  return rows.rows
}
