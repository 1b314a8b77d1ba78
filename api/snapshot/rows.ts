// What a phone is told of blocks and their rows: plans, and what was done vine by vine.
import { sql } from 'kysely'
import type { SnapshotRowShape, SnapshotShape } from '#wire/api-snapshot.ts'
import type { Database } from '../../db/connect.ts'
import { readRowFacts } from '../grafting/row-facts.ts'
import type { RowFacts } from '../grafting/row-facts.ts'
import { vineRecords } from '../grafting/vine-record.ts'
import type { VineRecord } from '../grafting/vine-record.ts'
import type { Season } from './season.ts'

type BlockLine = SnapshotShape['blocks'][0]

/**
 * All blocks by name. One is of this season when something is planned, set or passed over there;
 * `touched` ids (null: all) tell whose rows may have changed.
 */
export async function readSnapshotBlocks(
  db: Database,
  season: Season,
  touched: ReadonlySet<string> | null,
): Promise<BlockLine[]> {
  const since = new Date(season.fromMs)
  const rows = await sql<{
    block_id: string
    name: string
    positions: number
    this_season: boolean
  }>`
    with busy as (
      select row_id from row_plan where season = ${season.year}
      union select row_id from graft where grafted_at >= ${since}
      union select row_id from vine_skip where occurred_at >= ${since}
    )
    select b.block_id, b.name, coalesce(sum(r.position_count), 0)::int as positions,
      coalesce(bool_or(r.row_id in (select row_id from busy)), false) as this_season
    from block_now b left join block_row_now r on r.block_id = b.block_id
    group by b.block_id, b.name order by lower(b.name), b.block_id`.execute(db)
  const changed = touched === null ? null : await blocksOf(db, touched)
  return rows.rows.map((row) => ({
    id: row.block_id,
    name: row.name,
    positions: row.positions,
    thisSeason: row.this_season,
    changed: changed === null || changed.has(row.block_id),
  }))
}

/** Blocks that are named themselves, or in which a named row lies or ever lay. */
async function blocksOf(db: Database, touched: ReadonlySet<string>): Promise<Set<string>> {
  const ids = [...touched]
  const rows = await sql<{ block_id: string }>`
    select distinct block_id from block_row
    where row_id = any(${ids}::uuid[]) or block_id = any(${ids}::uuid[])`.execute(db)
  return new Set([...rows.rows.map((row) => row.block_id), ...ids])
}

/** The ids of a block’s rows as it is laid out now. */
export async function rowsOfBlock(db: Database, blockId: string): Promise<string[]> {
  const rows = await sql<{ row_id: string }>`
    select row_id from (
      select distinct on (row_id) row_id, block_id from block_row
      where row_id in (select r.row_id from block_row r where r.block_id = ${blockId})
      order by row_id, occurred_at desc, entry_id desc
    ) now where block_id = ${blockId} order by row_id`.execute(db)
  return rows.rows.map((row) => row.row_id)
}

/** Rows with what was done on them this season and the one before, in the order of their ids. */
export async function readSnapshotRows(
  db: Database,
  rowIds: readonly string[],
  season: Season,
): Promise<SnapshotRowShape[]> {
  const facts = await readRowFacts(db, rowIds)
  const ties = await readTies(db, rowIds, season)
  return facts
    .map((one) => rowOf(one, ties.get(one.row.row_id) ?? [], season))
    .sort((one, other) => (one.rowId < other.rowId ? -1 : 1))
}

function rowOf(facts: RowFacts, ties: SnapshotRowShape['ties'], season: Season): SnapshotRowShape {
  const { row } = facts
  const lately = (at: Date) => at.getTime() >= season.beforeMs
  const records = vineRecords(facts)
  const grafts = records.flatMap((record) => {
    return record.absent === 'removed' ? [] : (record.lives.at(-1)?.grafts ?? [])
  })
  const shown = grafts.filter((graft) => lately(graft.grafted_at))
  return {
    rowId: row.row_id,
    label: row.label,
    sequence: row.sequence,
    positionCount: row.position_count,
    headAt: row.head_at,
    plans: facts.plans.filter((plan) => plan.season === season.year).map(planOf),
    gone: records.flatMap((record) => goneOf(record, facts, season)),
    began: records.flatMap((record): [number, number][] => {
      const beganAt = record.lives.at(-1)?.beganAt ?? null
      return record.absent !== 'removed' && beganAt !== null ? [[record.position, beganAt]] : []
    }),
    grafts: shown.map((graft) => [
      graft.graft_id,
      graft.position,
      graft.lot_id,
      graft.bud_count,
      graft.grafted_at.getTime(),
    ]),
    removals: shown.flatMap(({ graft_id, removed_at }): [string, number][] =>
      removed_at === null ? [] : [[graft_id, removed_at.getTime()]],
    ),
    checks: facts.checks
      .filter((check) => lately(check.checked_at))
      .map((check) => [check.position, check.graft_id, check.checked_at.getTime()]),
    ties,
    skips: facts.skips
      .filter((skip) => lately(skip.occurred_at))
      .map((skip) => [skip.position, skip.occurred_at.getTime()]),
  }
}

/**
 * Since when no vine stands there, unless a graft that is told shows one. It is told as well where
 * such a graft does, for the graft may yet be withdrawn.
 */
function goneOf(record: VineRecord, { row }: RowFacts, season: Season): [number, number][] {
  const { position } = record
  const laidOutAt = row.laid_out_at.getTime()
  const last = record.lives.at(-1)
  if (last === undefined) return []
  const isLaidOut = !row.missing.includes(position) && position <= row.position_count
  const times: number[] = []
  if (record.absent === 'removed') times.push(last.endedAt ?? laidOutAt)
  else if (last.beganAt !== null && last.plantedBy === null) {
    if (!isLaidOut || laidOutAt <= last.beganAt) times.push(last.beganAt)
  }
  const isPlanted = last.plantedBy !== null && last.plantedBy.at >= laidOutAt
  if (!isLaidOut && (record.absent === 'removed' || !isPlanted)) times.push(laidOutAt)
  if (times.length === 0) return []
  const goneAt = Math.max(...times)
  const isSeen = last.grafts.some(({ grafted_at: at }) => {
    return at.getTime() > goneAt && at.getTime() < season.beforeMs
  })
  return isSeen && record.absent === null ? [] : [[position, goneAt]]
}

function planOf(plan: RowFacts['plans'][0]): SnapshotRowShape['plans'][0] {
  return {
    fromPosition: plan.from_position,
    toPosition: plan.to_position,
    season: plan.season,
    varietyId: plan.variety_id,
    clone: plan.clone,
    className: plan.class,
    method: plan.method,
    budsPerVine: plan.buds_per_vine,
  }
}

type TieRow = { row_id: string; position: number; graft_id: string | null; released_at: Date }

async function readTies(
  db: Database,
  rowIds: readonly string[],
  season: Season,
): Promise<Map<string, SnapshotRowShape['ties']>> {
  const rows = await sql<TieRow>`
    select row_id, position, graft_id, released_at from tie_release
    where row_id = any(${rowIds}::uuid[]) and released_at >= ${new Date(season.beforeMs)}
    order by released_at, entry_id`.execute(db)
  const ties = new Map<string, SnapshotRowShape['ties']>()
  for (const { row_id, position, graft_id, released_at } of rows.rows) {
    ties.set(row_id, [...(ties.get(row_id) ?? []), [position, graft_id, released_at.getTime()]])
  }
  return ties
}
