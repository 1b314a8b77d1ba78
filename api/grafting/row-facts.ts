// Loads what the journal tells of the vines of some rows: grafts, checks, skips, plantings.
import { sql } from 'kysely'
import type { Database } from '../../db/connect.ts'
import { readLayers, readPlans, readRows } from '../nursery/read-blocks.ts'
import type { PlanNow, RowNow, StatedLayer } from '../nursery/read-blocks.ts'

/** One graft with its lot named; `removed_at` is the earliest removal. */
export type GraftRow = {
  graft_id: string
  row_id: string
  position: number
  lot_id: string
  reference: string | null
  variety_id: string | null
  variety: string | null
  clone: string | null
  bundle_id: string
  method: string
  bud_count: number
  knife_id: string | null
  tie: string | null
  person_id: string
  grafted_at: Date
  removed_at: Date | null
  removal_reason: string | null
}

/** One line of a take check; `graft_id` is null when the buds were not told apart by graft. */
export type CheckRow = {
  entry_id: string
  row_id: string
  position: number
  graft_id: string | null
  growing: number
  callused: number
  failed: number
  shoot_length_mm: number | null
  person_id: string
  checked_at: Date
}

/** A vine passed over. */
export type SkipRow = {
  entry_id: string
  row_id: string
  position: number
  reason: string
  person_id: string
  occurred_at: Date
}

/** A vine planted or removed. */
export type ChangeRow = {
  entry_id: string
  row_id: string
  position: number
  what: 'planted' | 'removed'
  planted_year: number | null
  reason: string
  occurred_at: Date
}

/** Everything about one row's vines, as the facts stand. */
export type RowFacts = {
  row: RowNow
  /** Every layout of the row, the latest first. */
  layouts: { entry_id: string; row_id: string; occurred_at: Date }[]
  /** Trunk layers of every layout and planting, from the roots up. */
  layers: StatedLayer[]
  /** Latest first. */
  plans: PlanNow[]
  changes: ChangeRow[]
  grafts: GraftRow[]
  checks: CheckRow[]
  skips: SkipRow[]
}

/** The facts of rows, in block order; rows that no layout tells of are left out. */
export async function readRowFacts(db: Database, rowIds: readonly string[]): Promise<RowFacts[]> {
  const rows = await readRows(db, rowIds)
  const ids = rows.map((row) => row.row_id)
  if (ids.length === 0) return []
  const [layouts, changes, plans, grafts, checks, skips] = await Promise.all([
    layoutsOf(db, ids),
    changesOf(db, ids),
    readPlans(db, ids),
    graftsOf(db, ids),
    checksOf(db, ids),
    skipsOf(db, ids),
  ])
  const stating = [...layouts, ...changes.filter((change) => change.what === 'planted')]
  const layers = await readLayers(
    db,
    stating.map((entry) => entry.entry_id),
  )
  const rowOf = new Map(stating.map((entry) => [entry.entry_id, entry.row_id]))
  const by = {
    layouts: groupBy(layouts, (layout) => layout.row_id),
    layers: groupBy(layers, (layer) => rowOf.get(layer.entry_id) ?? ''),
    plans: groupBy(plans, (plan) => plan.row_id),
    changes: groupBy(changes, (change) => change.row_id),
    grafts: groupBy(grafts, (graft) => graft.row_id),
    checks: groupBy(checks, (check) => check.row_id),
    skips: groupBy(skips, (skip) => skip.row_id),
  }
  return rows.map((row) => ({
    row,
    layouts: by.layouts.get(row.row_id) ?? [],
    layers: by.layers.get(row.row_id) ?? [],
    plans: by.plans.get(row.row_id) ?? [],
    changes: by.changes.get(row.row_id) ?? [],
    grafts: by.grafts.get(row.row_id) ?? [],
    checks: by.checks.get(row.row_id) ?? [],
    skips: by.skips.get(row.row_id) ?? [],
  }))
}

/** Puts items into lists by key, keeping their order. */
export function groupBy<T, K>(items: readonly T[], keyOf: (item: T) => K): Map<K, T[]> {
  const groups = new Map<K, T[]>()
  for (const item of items) {
    const key = keyOf(item)
    const group = groups.get(key)
    if (group === undefined) groups.set(key, [item])
    else group.push(item)
  }
  return groups
}

async function layoutsOf(db: Database, ids: string[]): Promise<RowFacts['layouts']> {
  const rows = await sql<RowFacts['layouts'][number]>`
    select entry_id, row_id, occurred_at from block_row where row_id = any(${ids}::uuid[])
    order by occurred_at desc, entry_id desc`.execute(db)
  return rows.rows
}

async function changesOf(db: Database, ids: string[]): Promise<ChangeRow[]> {
  const rows = await sql<ChangeRow>`
    select entry_id, row_id, position, what, planted_year, reason, occurred_at from vine_change
    where row_id = any(${ids}::uuid[]) order by occurred_at, entry_id`.execute(db)
  return rows.rows
}

async function graftsOf(db: Database, ids: string[]): Promise<GraftRow[]> {
  const rows = await sql<GraftRow>`
    with made as (select * from graft where row_id = any(${ids}::uuid[])),
    named as (
      select distinct on (l.lot_id) l.lot_id, l.reference, l.variety_id, v.name as variety, l.clone
      from lot l left join variety_now v on v.variety_id = l.variety_id
      where l.lot_id in (select lot_id from made)
      order by l.lot_id, l.occurred_at, l.entry_id, l.line
    ),
    gone as (
      select distinct on (graft_id) graft_id, occurred_at, reason from graft_removal
      where graft_id in (select entry_id from made) order by graft_id, occurred_at, entry_id
    )
    select g.entry_id as graft_id, g.row_id, g.position, g.lot_id, n.reference, n.variety_id,
      n.variety, n.clone, g.bundle_id, g.method, g.bud_count, g.knife_id, g.tie, g.person_id,
      g.grafted_at, r.occurred_at as removed_at, r.reason as removal_reason
    from made g left join named n on n.lot_id = g.lot_id
      left join gone r on r.graft_id = g.entry_id
    order by g.grafted_at, g.entry_id`.execute(db)
  return rows.rows
}

async function checksOf(db: Database, ids: string[]): Promise<CheckRow[]> {
  const rows = await sql<CheckRow>`
    select entry_id, row_id, position, graft_id, growing, callused, failed, shoot_length_mm,
      person_id, checked_at from take_check
    where row_id = any(${ids}::uuid[]) order by checked_at, entry_id, line`.execute(db)
  return rows.rows
}

async function skipsOf(db: Database, ids: string[]): Promise<SkipRow[]> {
  const rows = await sql<SkipRow>`
    select entry_id, row_id, position, reason, person_id, occurred_at from vine_skip
    where row_id = any(${ids}::uuid[]) order by occurred_at, entry_id`.execute(db)
  return rows.rows
}
