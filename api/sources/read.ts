// Reads the register of sources: what they are, their standing over time, their tests and lots.
import { sql } from 'kysely'
import { localDay } from '#trade/zone-time.ts'
import type { Database } from '../../db/connect.ts'
import { nurseryTimeZone } from '../nursery/read.ts'

/** The register's word on a source. */
export const standings = ['good', 'suspended', 'withdrawn'] as const
export type Standing = (typeof standings)[number]

/** One line of the register. `standing` is null while no entry has stated one. */
export type SourceLine = {
  source_id: string
  level: 'block' | 'vine'
  parent_source_id: string | null
  name: string
  registry_number: string | null
  variety_id: string
  variety: string | null
  clone: string | null
  scheme: string | null
  class: string | null
  planted_year: number | null
  standing: Standing | null
  standing_since: string | null
  last_tested_on: string | null
  /** Of the tests of the latest sampling day: one that found an agent, or was inconclusive. */
  last_results: string[]
  lots: number
  held: boolean
}

/** Most sources on one page of the register. */
export const SOURCE_PAGE = 200

/**
 * The register by name: sources whose name, registry number, variety or clone contains `text`.
 * `parentId` narrows it to the vines of one block; `page` counts from 0.
 */
export async function listSources(
  db: Database,
  options: { text?: string; page?: number; parentId?: string; now: Date },
): Promise<SourceLine[]> {
  const like = `%${(options.text ?? '').replace(/[\\%_]/g, '\\$&')}%`
  const parent = options.parentId ?? null
  const condition = sql`
    (s.name ilike ${like} or s.registry_number ilike ${like} or v.name ilike ${like}
      or s.clone ilike ${like})
    and (${parent}::uuid is null or s.parent_source_id = ${parent})`
  return linesWhere(db, condition, options.now, (options.page ?? 0) * SOURCE_PAGE)
}

/** The line of one source, or null when it was never registered. */
export async function readSourceLine(
  db: Database,
  sourceId: string,
  now: Date,
): Promise<SourceLine | null> {
  const lines = await linesWhere(db, sql`s.source_id = ${sourceId}`, now, 0)
  return lines[0] ?? null
}

async function linesWhere(
  db: Database,
  condition: ReturnType<typeof sql>,
  now: Date,
  offset: number,
): Promise<SourceLine[]> {
  const today = localDay(now.getTime(), await nurseryTimeZone(db))
  const rows = await sql<SourceLine>`
    with page as (
      select s.*, v.name as variety
      from source_standing_row s left join variety_now v on v.variety_id = s.variety_id
      where ${condition}
      order by lower(s.name), s.source_id limit ${SOURCE_PAGE} offset ${offset}
    )
    select p.source_id, p.level, p.parent_source_id, p.name, p.registry_number, p.variety_id,
      p.variety, p.clone, p.scheme, p.class, p.planted_year,
      st.standing, st.effective_from as standing_since,
      t.sampled_on as last_tested_on, coalesce(t.results, '{}') as last_results,
      (select count(distinct l.lot_id)::int from lot l where l.source_id = p.source_id) as lots,
      exists (select 1 from standing_hold h
        where h.on_id in (p.source_id, p.parent_source_id)) as held
    from page p
    left join lateral (
      select standing, effective_from from source_standing
      where source_id = p.source_id and effective_from <= ${today}::date
      order by effective_from desc, occurred_at desc, entry_id desc limit 1
    ) st on true
    left join lateral (
      select sampled_on, array_agg(agent || ': ' || result order by agent) as results
      from source_test where source_id = p.source_id
      group by sampled_on order by sampled_on desc limit 1
    ) t on true
    order by lower(p.name), p.source_id`.execute(db)
  return rows.rows
}

/** A change of standing as it was entered. */
export type StandingRow = {
  entry_id: string
  standing: Standing
  effective_from: string
  reason: string
  occurred_at: Date
}

/** A health test as the laboratory reported it. */
export type TestRow = {
  entry_id: string
  agent: string
  method: string
  laboratory: string
  sampled_on: string
  pooled_vines: number
  result: 'not detected' | 'detected' | 'inconclusive'
  sample_reference: string | null
  note: string
  occurred_at: Date
}

/** A lot that was cut from a source, or received with its source named. */
export type SourceLot = {
  lot_id: string
  reference: string
  made_by: string
  source_id: string
  source: string | null
  made_at: Date
  sticks: number
}

/** A hold on a source, standing or lifted. */
export type SourceHold = {
  hold_id: string
  agent: string | null
  reason: string
  placed_at: Date
  lifted_at: Date | null
  lift_reason: string | null
}

/** Everything recorded of one source. */
export type SourceReading = {
  line: SourceLine
  note: string
  /** The block that a source vine stands in. */
  parent: { source_id: string; name: string } | null
  /** The lot that this source was itself grown from. */
  origin_lot: { lot_id: string; reference: string | null } | null
  /** The field vine that serves as this source. */
  vine: { row_id: string; position: number; row: string | null; block: string | null } | null
  vines: SourceLine[]
  standings: StandingRow[]
  tests: TestRow[]
  lots: SourceLot[]
  holds: SourceHold[]
}

/** One source with its history; lots include those of its vines. Null when not registered. */
export async function readSource(
  db: Database,
  sourceId: string,
  now: Date,
): Promise<SourceReading | null> {
  const line = await readSourceLine(db, sourceId, now)
  if (line === null) return null
  const more = await readLinks(db, sourceId)
  const vines = await listSources(db, { parentId: sourceId, now })
  return {
    line,
    ...more,
    vines,
    standings: await readStandings(db, sourceId),
    tests: await readTests(db, sourceId),
    lots: await lotsOf(db, [sourceId, ...vines.map((vine) => vine.source_id)]),
    holds: await readHolds(db, sourceId),
  }
}

type LinkRow = {
  note: string
  parent_id: string | null
  parent: string | null
  origin_lot_id: string | null
  reference: string | null
  row_id: string | null
  position: number | null
  row: string | null
  block: string | null
}

async function readLinks(db: Database, sourceId: string) {
  const rows = await sql<LinkRow>`
    select s.note, s.parent_source_id as parent_id, p.name as parent, s.origin_lot_id,
      (select l.reference from lot l where l.lot_id = s.origin_lot_id
        order by l.occurred_at, l.entry_id, l.line limit 1) as reference,
      s.row_id, s.position, r.label as row,
      (select b.name from block b where b.block_id = r.block_id
        order by b.occurred_at desc, b.entry_id desc limit 1) as block
    from source_standing_row s
    left join source_standing_row p on p.source_id = s.parent_source_id
    left join lateral (
      select label, block_id from block_row where row_id = s.row_id
      order by occurred_at desc, entry_id desc limit 1
    ) r on true
    where s.source_id = ${sourceId}`.execute(db)
  const row = rows.rows[0]
  if (row === undefined) throw new Error(`source ${sourceId} was there a moment ago`)
  const { parent_id, origin_lot_id, row_id, position } = row
  return {
    note: row.note,
    parent: parent_id === null ? null : { source_id: parent_id, name: row.parent ?? 'unknown' },
    origin_lot: origin_lot_id === null ? null : { lot_id: origin_lot_id, reference: row.reference },
    vine:
      row_id === null || position === null
        ? null
        : { row_id, position, row: row.row, block: row.block },
  }
}

/** The changes of a source's standing, the latest first. */
export async function readStandings(db: Database, sourceId: string): Promise<StandingRow[]> {
  const rows = await sql<StandingRow>`
    select entry_id, standing, effective_from, reason, occurred_at from source_standing
    where source_id = ${sourceId}
    order by effective_from desc, occurred_at desc, entry_id desc`.execute(db)
  return rows.rows
}

async function readTests(db: Database, sourceId: string): Promise<TestRow[]> {
  const rows = await sql<TestRow>`
    select entry_id, agent, method, laboratory, sampled_on, pooled_vines, result,
      sample_reference, note, occurred_at
    from source_test where source_id = ${sourceId}
    order by sampled_on desc, agent, occurred_at desc`.execute(db)
  return rows.rows
}

async function lotsOf(db: Database, sourceIds: string[]): Promise<SourceLot[]> {
  const rows = await sql<SourceLot>`
    with first as (
      select distinct on (lot_id) * from lot where source_id = any(${sourceIds}::uuid[])
      order by lot_id, occurred_at, entry_id, line
    )
    select l.lot_id, l.reference, l.made_by, l.source_id, s.name as source,
      l.occurred_at as made_at,
      coalesce((select -sum(m.count) from movement m
        where m.lot_id = l.lot_id and m.entry_id = l.entry_id and m.unit = 'stick'
          and m.account_kind in ('source', 'supplier')), 0)::int as sticks
    from first l left join source_standing_row s on s.source_id = l.source_id
    order by l.occurred_at desc, l.lot_id`.execute(db)
  return rows.rows
}

async function readHolds(db: Database, sourceId: string): Promise<SourceHold[]> {
  const rows = await sql<SourceHold>`
    select h.hold_id, h.agent, h.reason, h.placed_at, l.lifted_at, l.reason as lift_reason
    from hold h left join lateral (
      select lifted_at, reason from hold_lift where hold_id = h.hold_id
      order by lifted_at, entry_id limit 1) l on true
    where h.on_id = ${sourceId} order by h.placed_at desc, h.hold_id`.execute(db)
  return rows.rows
}
