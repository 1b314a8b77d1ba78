// Works out how much wood the plans of a season need, by variety, clone and class.
import { sql } from 'kysely'
import { budSupply } from '#trade/bud-supply.ts'
import type { BudSupply } from '#trade/bud-supply.ts'
import type { Policies } from '#trade/policies.ts'
import type { Database } from '../../db/connect.ts'
import { planAt, plansOfSeason } from '../nursery/read-blocks.ts'
import type { PlanNow } from '../nursery/read-blocks.ts'
import { nurseryTimeZone } from '../nursery/read.ts'
import { readRowFacts } from './row-facts.ts'
import type { RowFacts } from './row-facts.ts'
import { seasonsIn } from './season.ts'
import type { SeasonOf } from './season.ts'
import { isInRow, vineRecords } from './vine-record.ts'
import { vineNow } from './vine-state.ts'

/** Rows whose vines are looked through in one step. */
const ROWS_AT_ONCE = 200

/** What one kind of wood is needed for. Counts are vines that stand. */
export type SupplyLine = {
  varietyId: string
  variety: string | null
  clone: string | null
  class: string | null
  budsPerVine: number
  rows: number
  vines: number
  /** Of them grafted this season, and passed over. */
  grafted: number
  skipped: number
  /** The order for all vines, and for those not grafted yet. */
  order: BudSupply
  stillToGraft: BudSupply
  /** Buds at hand now of this variety and clone (any clone where the plan leaves it open). */
  budsAtHand: number
}

/** The lines of a season by variety, clone, class and buds for each vine. */
export async function readSupply(
  db: Database,
  season: number,
  policies: Policies,
): Promise<SupplyLine[]> {
  const seasonOf = seasonsIn(await nurseryTimeZone(db))
  const plans = await plansOfSeason(db, season)
  const rowIds = [...new Set(plans.map((plan) => plan.row_id))]
  const tallies = new Map<string, Tally>()
  for (let at = 0; at < rowIds.length; at += ROWS_AT_ONCE) {
    const rows = await readRowFacts(db, rowIds.slice(at, at + ROWS_AT_ONCE))
    for (const facts of rows) countRow(tallies, facts, season, seasonOf)
  }
  const atHand = await readAtHand(db, [...new Set(plans.map((plan) => plan.variety_id))])
  return [...tallies.values()]
    .map((tally) => lineOf(tally, policies, atHand))
    .sort((one, other) => compare(one.variety, other.variety) || compare(one.clone, other.clone))
}

/** Seasons for which anything is planned, the latest first. */
export async function plannedSeasons(db: Database): Promise<number[]> {
  const rows = await sql<{ season: number }>`
    select distinct season from row_plan order by season desc`.execute(db)
  return rows.rows.map((row) => row.season)
}

type Tally = {
  plan: PlanNow
  rowIds: Set<string>
  vines: number
  grafted: number
  skipped: number
}

function countRow(
  tallies: Map<string, Tally>,
  facts: RowFacts,
  season: number,
  seasonOf: SeasonOf,
): void {
  for (const record of vineRecords(facts)) {
    const plan = planAt(facts.plans, season, record.position)
    if (plan === null || record.absent !== null || !isInRow(facts.row, record.position)) continue
    const { state } = vineNow(record, facts.row, facts.plans, season, seasonOf)
    const key = [plan.variety_id, plan.clone, plan.class, plan.buds_per_vine].join('\n')
    const tally = tallies.get(key) ?? newTally(plan)
    tallies.set(key, tally)
    tally.rowIds.add(facts.row.row_id)
    tally.vines += 1
    if (state === 'skipped') tally.skipped += 1
    else if (state !== 'planned') tally.grafted += 1
  }
}

function newTally(plan: PlanNow): Tally {
  return { plan, rowIds: new Set(), vines: 0, grafted: 0, skipped: 0 }
}

type AtHand = { variety_id: string; clone: string | null; buds: number }

function lineOf(tally: Tally, policies: Policies, atHand: readonly AtHand[]): SupplyLine {
  const { plan, vines, grafted, skipped } = tally
  const order = (count: number) =>
    budSupply({
      vines: count,
      budsPerVine: plan.buds_per_vine,
      overageShare: policies.fieldOverageShare.value,
      usableBudsPerStick: policies.usableBudsPerStick.value,
      packageSticks: policies.scionPackageSticks.value,
    })
  const fitting = atHand.filter(
    (wood) =>
      wood.variety_id === plan.variety_id && (plan.clone === null || wood.clone === plan.clone),
  )
  return {
    varietyId: plan.variety_id,
    variety: plan.variety,
    clone: plan.clone,
    class: plan.class,
    budsPerVine: plan.buds_per_vine,
    rows: tally.rowIds.size,
    vines,
    grafted,
    skipped,
    order: order(vines),
    stillToGraft: order(vines - grafted - skipped),
    budsAtHand: fitting.reduce((sum, wood) => sum + wood.buds, 0),
  }
}

/** Buds of scion wood at hand: sticks times the buds on each, plus buds, in places and hands. */
async function readAtHand(db: Database, varietyIds: readonly string[]): Promise<AtHand[]> {
  if (varietyIds.length === 0) return []
  const rows = await sql<AtHand>`
    with lots as (
      select distinct on (lot_id) lot_id, variety_id, clone, material, buds_per_stick
      from lot where variety_id = any(${varietyIds}::uuid[])
      order by lot_id, occurred_at, entry_id, line
    )
    select l.variety_id, l.clone,
      sum(b.count * case b.unit when 'stick' then coalesce(l.buds_per_stick, 0) else 1 end)::bigint
        as buds
    from lots l join balance b on b.lot_id = l.lot_id
    where l.material = 'scion wood' and b.account_kind in ('place', 'bath', 'holder', 'unknown')
    group by l.variety_id, l.clone`.execute(db)
  return rows.rows
}

function compare(one: string | null, other: string | null): number {
  return (one ?? '').localeCompare(other ?? '')
}
