// Reads blocks and their rows as they are laid out: labels, lengths, missing places, trunks.
import { sql } from 'kysely'
import type { Database } from '../../db/connect.ts'

/** One line of the list of blocks. `places` counts positions, with and without a vine. */
export type BlockLine = {
  block_id: string
  name: string
  note: string
  rows: number
  places: number
}

/** All blocks, by name. */
export async function listBlocks(db: Database): Promise<BlockLine[]> {
  const rows = await sql<BlockLine>`
    select b.block_id, b.name, b.note, count(r.row_id)::int as rows,
      coalesce(sum(r.position_count), 0)::int as places
    from block_now b left join block_row_now r on r.block_id = b.block_id
    group by b.block_id, b.name, b.note order by lower(b.name), b.block_id`.execute(db)
  return rows.rows
}

/** One block, or null when no entry tells of it. */
export async function readBlock(
  db: Database,
  blockId: string,
): Promise<{ block_id: string; name: string; note: string } | null> {
  const row = await sql<{ block_id: string; name: string; note: string }>`
    select block_id, name, note from block where block_id = ${blockId}
    order by occurred_at desc, entry_id desc limit 1`.execute(db)
  return row.rows[0] ?? null
}

/** One tissue of a trunk, from the roots up, with its variety named where it is known. */
export type LayerNow = {
  role: 'rootstock' | 'interstock'
  variety_id: string
  variety: string | null
  clone: string | null
  origin_kind: 'lot' | 'source' | 'unknown'
  origin_id: string | null
}

/** A stretch of a row with the same trunk. */
export type SectionNow = {
  from_position: number
  to_position: number
  planted_year: number | null
  layers: LayerNow[]
}

/** A row by its last layout. Positions count from 1 at the head; `missing` has no vine. */
export type RowNow = {
  row_id: string
  entry_id: string
  block_id: string
  block_name: string | null
  label: string
  sequence: number
  position_count: number
  head_at: string | null
  missing: number[]
  laid_out_at: Date
  sections: SectionNow[]
}

/** The rows of one block in their order, each with its sections. */
export async function listRows(db: Database, blockId: string): Promise<RowNow[]> {
  const inBlock = await sql<{ row_id: string }>`
    select distinct row_id from block_row where block_id = ${blockId}`.execute(db)
  const rows = await readRows(
    db,
    inBlock.rows.map((row) => row.row_id),
  )
  // A row may have been moved to another block since.
  return rows.filter((row) => row.block_id === blockId)
}

/** One row, or null when it was never laid out. */
export async function readRow(db: Database, rowId: string): Promise<RowNow | null> {
  return (await readRows(db, [rowId]))[0] ?? null
}

/** Rows by their ids, in block order; ids that no layout tells of are left out. */
export async function readRows(db: Database, rowIds: readonly string[]): Promise<RowNow[]> {
  if (rowIds.length === 0) return []
  const rows = await sql<Omit<RowNow, 'sections'>>`
    select * from (
      select distinct on (r.row_id) r.row_id, r.entry_id, r.block_id,
        (select b.name from block b where b.block_id = r.block_id
          order by b.occurred_at desc, b.entry_id desc limit 1) as block_name,
        r.label, r.sequence, r.position_count, r.head_at, r.missing, r.occurred_at as laid_out_at
      from block_row r where r.row_id = any(${rowIds}::uuid[])
      order by r.row_id, r.occurred_at desc, r.entry_id desc
    ) now order by sequence, label, row_id`.execute(db)
  const sections = await readSections(
    db,
    rows.rows.map((row) => row.entry_id),
  )
  return rows.rows.map((row) => ({ ...row, sections: sections.get(row.entry_id) ?? [] }))
}

/** A layer with the entry that states it: a layout (by section line) or a planting. */
export type StatedLayer = LayerNow & {
  entry_id: string
  line: number
  from_position: number
  to_position: number
  planted_year: number | null
}

/** The trunk layers that these entries state, from the roots up. */
export async function readLayers(
  db: Database,
  entryIds: readonly string[],
): Promise<StatedLayer[]> {
  if (entryIds.length === 0) return []
  const rows = await sql<StatedLayer>`
    select t.entry_id, t.line, t.from_position, t.to_position, t.planted_year, t.role,
      t.variety_id, v.name as variety, t.clone, t.origin_kind, t.origin_id
    from trunk_layer t left join variety_now v on v.variety_id = t.variety_id
    where t.entry_id = any(${entryIds}::uuid[])
    order by t.entry_id, t.line, t.layer_order`.execute(db)
  return rows.rows
}

type SectionRow = Omit<SectionNow, 'layers'> & { entry_id: string; line: number }

async function readSections(
  db: Database,
  layoutIds: readonly string[],
): Promise<Map<string, SectionNow[]>> {
  const rows = await sql<SectionRow>`
    select entry_id, line, from_position, to_position, planted_year
    from row_section where entry_id = any(${layoutIds}::uuid[])
    order by entry_id, from_position, line`.execute(db)
  const layers = new Map<string, LayerNow[]>()
  for (const stated of await readLayers(db, layoutIds)) {
    const key = `${stated.entry_id} ${stated.line}`
    const { role, variety_id, variety, clone, origin_kind, origin_id } = stated
    const layer = { role, variety_id, variety, clone, origin_kind, origin_id }
    layers.set(key, [...(layers.get(key) ?? []), layer])
  }
  const sections = new Map<string, SectionNow[]>()
  for (const { entry_id, line, ...section } of rows.rows) {
    const whole = { ...section, layers: layers.get(`${entry_id} ${line}`) ?? [] }
    sections.set(entry_id, [...(sections.get(entry_id) ?? []), whole])
  }
  return sections
}

/** What a stretch of a row is to be grafted with in a season. A later plan covers an earlier. */
export type PlanNow = {
  entry_id: string
  row_id: string
  from_position: number
  to_position: number
  season: number
  variety_id: string
  variety: string | null
  clone: string | null
  class: string | null
  method: string | null
  buds_per_vine: number
  planned_at: Date
}

/** The plans of rows, latest first, of one season or of all. */
export async function readPlans(
  db: Database,
  rowIds: readonly string[],
  season: number | null = null,
): Promise<PlanNow[]> {
  if (rowIds.length === 0) return []
  return plansWhere(
    db,
    sql`p.row_id = any(${rowIds}::uuid[]) and (${season}::int is null or p.season = ${season})`,
  )
}

/** Every row's plans of one season, latest first. */
export function plansOfSeason(db: Database, season: number): Promise<PlanNow[]> {
  return plansWhere(db, sql`p.season = ${season}`)
}

async function plansWhere(db: Database, condition: ReturnType<typeof sql>): Promise<PlanNow[]> {
  const rows = await sql<PlanNow>`
    select p.entry_id, p.row_id, p.from_position, p.to_position, p.season, p.variety_id,
      v.name as variety, p.clone, p.class, p.method, p.buds_per_vine, p.occurred_at as planned_at
    from row_plan p left join variety_now v on v.variety_id = p.variety_id
    where ${condition} order by p.occurred_at desc, p.entry_id desc`.execute(db)
  return rows.rows
}

/** The plan that counts for a position in a season, out of plans given latest first. */
export function planAt(plans: readonly PlanNow[], season: number, position: number) {
  return (
    plans.find(
      (plan) =>
        plan.season === season && plan.from_position <= position && position <= plan.to_position,
    ) ?? null
  )
}
