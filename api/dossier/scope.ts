// Finds what a dossier is about: the vines, their layers, and every lot and source upstream.
import { sql } from 'kysely'
import type { Database } from '../../db/connect.ts'
import { refuse } from '../platform/errors.ts'
import { ancestors } from '../trace/lineage.ts'
import { describeNodes } from '../trace/nodes.ts'
import type { LotNode, SourceNode } from '../trace/nodes.ts'
import { recallLabel } from '../trace/recall-question.ts'
import { DOSSIER_ENTRY_LIMIT } from './dossier-shape.ts'
import type { DossierSubject, ThingSubject } from './dossier-shape.ts'
import { readRecallScope } from './recall-scope.ts'
import type { RecallScope } from './recall-scope.ts'

/** One graft in question, with the latest look at it. */
export type GraftLine = {
  graft_id: string
  row_id: string
  position: number
  lot_id: string
  variety: string | null
  class: string | null
  method: string
  bud_count: number
  grafted_at: Date
  person_id: string
  knife_id: string | null
  checked_at: Date | null
  /** The entry of the latest look. */
  check_id: string | null
  growing: number | null
  callused: number | null
  failed: number | null
  removed_at: Date | null
  removal_id: string | null
}

/** A layer of the trunks in question. */
export type LayerLine = {
  entry_id: string
  row_id: string
  from_position: number
  to_position: number
  role: string
  variety: string | null
  clone: string | null
  origin_kind: string
  origin_id: string | null
  planted_year: number | null
}

/** All that a dossier tells of. */
export type DossierScope = {
  subject: DossierSubject
  label: string
  /** Rows in question by id, with their names. */
  rows: Map<string, string>
  blockId: string | null
  grafts: GraftLine[]
  layers: LayerLine[]
  lots: LotNode[]
  sources: SourceNode[]
  /** Ids that entries name and that nothing describes. */
  unknown: string[]
  /** What a recall reaches; null for a thing. */
  recall: RecallScope | null
}

/** Reads it. Refuses with `not_found` what is not on record. */
export async function readScope(db: Database, subject: DossierSubject): Promise<DossierScope> {
  return subject.kind === 'recall' ? readRecallScope(db, subject) : readThing(db, subject)
}

/** What people call the subject. Refuses with `not_found` what is not on record. */
export async function subjectLabel(db: Database, subject: DossierSubject): Promise<string> {
  if (subject.kind === 'recall') return `Recall: ${await recallLabel(db, subject.question)}`
  return (await readPlace(db, subject)).label
}

async function readThing(db: Database, subject: ThingSubject): Promise<DossierScope> {
  const place = await readPlace(db, subject)
  const rowIds = [...place.rows.keys()]
  const grafts = await readGrafts(db, subject, rowIds)
  const layers = subject.kind === 'lot' ? [] : await readLayers(db, subject, rowIds)
  const starts = new Set([
    ...(subject.kind === 'lot' ? [subject.id] : []),
    ...grafts.map((graft) => graft.lot_id),
    ...layers.flatMap((layer) => layer.origin_id ?? []),
  ])
  const lineage = await ancestors(db, [...starts])
  const nodes = await describeNodes(db, lineage.ids)
  if (subject.kind === 'lot') {
    const rows = await nameRows(db, [...new Set(grafts.map((graft) => graft.row_id))])
    return { subject, ...place, rows, grafts, layers, ...nodes, recall: null }
  }
  return { subject, ...place, grafts, layers, ...nodes, recall: null }
}

type Place = { label: string; rows: Map<string, string>; blockId: string | null }

async function readPlace(db: Database, { kind, id, position }: ThingSubject): Promise<Place> {
  const missing = (what: string) =>
    refuse('not_found', `there is no such ${what} on record`, { status: 404 })
  if (kind === 'lot') {
    const lot = await db
      .selectFrom('lot_first')
      .select('reference')
      .where('lot_id', '=', id)
      .executeTakeFirst()
    return { label: `Lot ${lot?.reference ?? missing('lot')}`, rows: new Map(), blockId: null }
  }
  if (kind === 'block') {
    const block = await db
      .selectFrom('block_now')
      .select('name')
      .where('block_id', '=', id)
      .executeTakeFirst()
    const rows = await db
      .selectFrom('block_row_now')
      .select(['row_id', 'label'])
      .where('block_id', '=', id)
      .orderBy('sequence')
      .execute()
    const names = new Map(rows.map((row) => [row.row_id, `row ${row.label}`]))
    return { label: `Block ${block?.name ?? missing('block')}`, rows: names, blockId: id }
  }
  const rows = await nameRows(db, [id])
  const row = await db
    .selectFrom('block_row_now')
    .select(['block_id', 'position_count'])
    .where('row_id', '=', id)
    .executeTakeFirst()
  if (row === undefined || position > row.position_count) return missing(kind)
  const name = rows.get(id) ?? 'row'
  const label = kind === 'row' ? name : `${name}, vine ${position}`
  return { label: capital(label), rows, blockId: row.block_id }
}

const capital = (text: string) => text.slice(0, 1).toUpperCase() + text.slice(1)

/** The names of rows with their blocks. */
export async function nameRows(db: Database, ids: string[]): Promise<Map<string, string>> {
  const { rows } = await sql<{ row_id: string; name: string }>`
    select r.row_id, coalesce(b.name || ', ', '') || 'row ' || r.label as name
    from block_row_now r left join block_now b on b.block_id = r.block_id
    where r.row_id = any(${ids}::uuid[])`.execute(db)
  return new Map(rows.map((row) => [row.row_id, row.name]))
}

async function readGrafts(
  db: Database,
  { kind, id, position }: ThingSubject,
  rowIds: string[],
): Promise<GraftLine[]> {
  const here =
    kind === 'lot'
      ? sql`g.lot_id = ${id}`
      : sql`g.row_id = any(${rowIds}::uuid[]) and (${kind !== 'vine'} or g.position = ${position})`
  const { rows } = await sql<GraftLine>`
    select g.entry_id as graft_id, g.row_id, g.position, g.lot_id, v.name as variety, l.class,
      g.method, g.bud_count, g.grafted_at, g.person_id, g.knife_id, c.checked_at,
      c.entry_id as check_id, c.growing, c.callused, c.failed, x.occurred_at as removed_at,
      x.entry_id as removal_id
    from graft g left join lot_first l on l.lot_id = g.lot_id
      left join variety_now v on v.variety_id = l.variety_id
      left join lateral (
        select entry_id, checked_at, growing, callused, failed from take_check t
        where t.graft_id = g.entry_id order by checked_at desc, entry_id desc limit 1
      ) c on true
      left join lateral (
        select entry_id, occurred_at from graft_removal r where r.graft_id = g.entry_id
        order by occurred_at, entry_id limit 1
      ) x on true
    where ${here} order by g.row_id, g.position, g.grafted_at
    limit ${DOSSIER_ENTRY_LIMIT + 1}`.execute(db)
  return rows
}

async function readLayers(
  db: Database,
  { kind, position }: ThingSubject,
  rowIds: string[],
): Promise<LayerLine[]> {
  const { rows } = await sql<LayerLine>`
    select t.entry_id, t.row_id, t.from_position, t.to_position, t.role, v.name as variety,
      t.clone, t.origin_kind, t.origin_id, t.planted_year
    from trunk_layer t left join variety_now v on v.variety_id = t.variety_id
    where t.row_id = any(${rowIds}::uuid[])
      and (${kind !== 'vine'} or ${position} between t.from_position and t.to_position)
    order by t.row_id, t.from_position, t.layer_order`.execute(db)
  return rows
}
