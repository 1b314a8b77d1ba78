// Where a lot's buds were set and how they took, row by row.
import { sql } from 'kysely'
import { countTake } from '#trade/take.ts'
import type { Take } from '#trade/take.ts'
import type { GraftAttempt } from '#trade/vine-stack.ts'
import type { Database } from '../../db/connect.ts'

/** The lot's grafts in one row. Take counts by the last look at each graft. */
export type RowGrafts = {
  row_id: string
  row_label: string | null
  block_id: string | null
  block: string | null
  vines: number
  grafts: number
  buds_set: number
  removed: number
  first_at: Date
  last_at: Date
  take: Take
  /** Checks of these vines that did not tell the grafts apart; they are not in `take`. */
  checks_not_told_apart: number
}

/** The rows that bear or bore the lot, in the order of block and row. */
export async function readLotGrafts(db: Database, lotId: string): Promise<RowGrafts[]> {
  const [rows, grafts] = await Promise.all([readRows(db, lotId), readGrafts(db, lotId)])
  const byRow = new Map<string, Map<number, GraftAttempt[]>>()
  for (const graft of grafts) {
    const vines = byRow.get(graft.row_id) ?? new Map<number, GraftAttempt[]>()
    const onVine = vines.get(graft.position) ?? []
    onVine.push(attemptOf(graft, lotId))
    byRow.set(graft.row_id, vines.set(graft.position, onVine))
  }
  return rows.map((row) => ({
    ...row,
    take: countTake([...(byRow.get(row.row_id)?.values() ?? [])]),
  }))
}

async function readRows(db: Database, lotId: string): Promise<Omit<RowGrafts, 'take'>[]> {
  const rows = await sql<Omit<RowGrafts, 'take'>>`
    with mine as (
      select g.row_id, g.position, g.bud_count, g.grafted_at,
        exists (select 1 from graft_removal r where r.graft_id = g.entry_id) as gone
      from graft g where g.lot_id = ${lotId}
    ), counted as (
      select row_id, count(distinct position)::int as vines, count(*)::int as grafts,
        sum(bud_count)::int as buds_set, count(*) filter (where gone)::int as removed,
        min(grafted_at) as first_at, max(grafted_at) as last_at
      from mine group by row_id
    ), untold as (
      select v.row_id, count(distinct c.entry_id)::int as checks
      from (select distinct row_id, position from mine) v
        join take_check c on c.row_id = v.row_id and c.position = v.position
      where c.graft_id is null group by v.row_id
    )
    select c.*, r.label as row_label, r.block_id, b.name as block,
      coalesce(u.checks, 0)::int as checks_not_told_apart
    from counted c
      left join untold u on u.row_id = c.row_id
      left join lateral (select r.label, r.block_id, r.sequence from block_row r
        where r.row_id = c.row_id order by r.occurred_at desc, r.entry_id desc limit 1) r on true
      left join lateral (select b.name from block b
        where b.block_id = r.block_id order by b.occurred_at desc, b.entry_id desc limit 1) b
        on true
    order by b.name, r.sequence, c.row_id`.execute(db)
  return rows.rows
}

type GraftLine = {
  entry_id: string
  row_id: string
  position: number
  method: string
  bud_count: number
  grafted_at: Date
  check_id: string | null
  growing: number
  callused: number
  failed: number
  checked_at: Date
}

/** Each graft with its last check: the latest, and of equal times the one with the later id. */
async function readGrafts(db: Database, lotId: string): Promise<GraftLine[]> {
  const rows = await sql<GraftLine>`
    select g.entry_id, g.row_id, g.position, g.method, g.bud_count, g.grafted_at,
      c.entry_id as check_id, c.growing, c.callused, c.failed, c.checked_at
    from graft g
      left join (
        select distinct on (c.graft_id) c.* from graft o
          join take_check c on c.graft_id = o.entry_id
        where o.lot_id = ${lotId}
        order by c.graft_id, c.checked_at desc, c.entry_id desc, c.line desc
      ) c on c.graft_id = g.entry_id
    where g.lot_id = ${lotId} order by g.grafted_at, g.entry_id`.execute(db)
  return rows.rows
}

/** Take asks neither for the variety nor for removal. */
function attemptOf(line: GraftLine, lotId: string): GraftAttempt {
  const { growing, callused, failed } = line
  const check = { growing, callused, failed }
  return {
    graftId: line.entry_id,
    lotId,
    varietyId: '',
    clone: null,
    method: line.method,
    budCount: line.bud_count,
    graftedAt: line.grafted_at.getTime(),
    removedAt: null,
    takeChecks:
      line.check_id === null
        ? []
        : [{ checkId: line.check_id, checkedAt: line.checked_at.getTime(), ...check }],
  }
}
