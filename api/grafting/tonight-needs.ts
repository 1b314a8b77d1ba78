// Which vines of some rows are still to be grafted this season, by the plan that counts for each.
import type { RowNeed } from '#trade/tonight.ts'
import { sql } from 'kysely'
import type { Database } from '../../db/connect.ts'
import { planAt } from '../nursery/read-blocks.ts'
import type { PlanNow, RowNow } from '../nursery/read-blocks.ts'
import { readRowFacts } from './row-facts.ts'
import type { RowFacts } from './row-facts.ts'
import { seasonsIn } from './season.ts'
import type { SeasonOf } from './season.ts'
import { isInRow, vineRecords } from './vine-record.ts'
import { vineNow } from './vine-state.ts'

/** A need with the words for it. */
export type NamedNeed = RowNeed & { row: RowNow; planNow: PlanNow }

/**
 * The needs of rows in one season; rows without a vine left to graft have none. `budsPerVine`
 * takes the place of the plan's.
 */
export async function readNeeds(
  db: Database,
  rowIds: readonly string[],
  season: number,
  zone: string,
  budsPerVine: number | null,
): Promise<{ needs: NamedNeed[]; rows: RowNow[] }> {
  const seasonOf = seasonsIn(zone)
  const facts = await readRowFacts(db, rowIds)
  return {
    needs: facts.flatMap((row) => needsOf(row, season, seasonOf, budsPerVine)),
    rows: facts.map(({ row }) => row),
  }
}

function needsOf(
  facts: RowFacts,
  season: number,
  seasonOf: SeasonOf,
  budsPerVine: number | null,
): NamedNeed[] {
  const counts = new Map<PlanNow, number>()
  for (const record of vineRecords(facts)) {
    if (record.absent !== null || !isInRow(facts.row, record.position)) continue
    const plan = planAt(facts.plans, season, record.position)
    if (plan === null) continue
    const { state } = vineNow(record, facts.row, facts.plans, season, seasonOf)
    if (state === 'planned') counts.set(plan, (counts.get(plan) ?? 0) + 1)
  }
  return [...counts].map(([plan, vines]) => ({
    rowId: facts.row.row_id,
    row: facts.row,
    planNow: plan,
    vines,
    budsPerVine: budsPerVine ?? plan.buds_per_vine,
    plan: {
      rowId: facts.row.row_id,
      varietyId: plan.variety_id,
      clone: plan.clone,
      scheme: null,
      minimumClass: plan.class,
    },
  }))
}

/** A row with a plan in a season, for choosing. */
export type PlannedRow = {
  rowId: string
  blockId: string
  block: string | null
  label: string
  variety: string | null
  clone: string | null
}

/** Most rows to choose from. */
export const PLANNED_ROW_LIMIT = 1000

/** Rows planned for a season, by block and row; a row with several plans by its latest. */
export async function readPlannedRows(db: Database, season: number): Promise<PlannedRow[]> {
  const rows = await sql<PlannedRow>`
    select p.row_id as "rowId", r.block_id as "blockId", b.name as block, r.label,
      v.name as variety, p.clone
    from (select distinct on (row_id) row_id, variety_id, clone from row_plan
      where season = ${season} order by row_id, occurred_at desc, entry_id desc) p
    join block_row_now r on r.row_id = p.row_id
    left join block_now b on b.block_id = r.block_id
    left join variety_now v on v.variety_id = p.variety_id
    order by b.name, r.sequence, r.label, p.row_id limit ${PLANNED_ROW_LIMIT}`.execute(db)
  return rows.rows
}
