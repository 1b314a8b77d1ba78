// Reads tags: what was printed, what each code is on, and what became of spoiled ones.
import { sql } from 'kysely'
import type { Database } from '../../db/connect.ts'

/** Every code ever printed or used, by what became of it. */
export type TagCounts = {
  printed: number
  bound: number
  free: number
  spoiled: number
  replaced: number
}

/** Counts codes; `free` ones were printed and are neither bound nor ended. */
export async function countTags(db: Database): Promise<TagCounts> {
  const rows = await sql<TagCounts>`
    with code as (
      select distinct p.code, b.code is not null as bound, e.how
      from tag_print p
        left join tag_now b on b.code = p.code
        left join tag_end e on e.code = p.code
    )
    select count(distinct code)::int as printed,
      count(distinct code) filter (where bound and how is null)::int as bound,
      count(distinct code) filter (where not bound and how is null)::int as free,
      count(distinct code) filter (where how = 'spoiled')::int as spoiled,
      count(distinct code) filter (where how = 'replaced')::int as replaced
    from code`.execute(db)
  return rows.rows[0] ?? { printed: 0, bound: 0, free: 0, spoiled: 0, replaced: 0 }
}

/** One print, as a line of the list. */
export type PrintLine = {
  print_id: string
  occurred_at: Date
  payload: string
  form: string
  codes: number
  bound: number
  reprint_reason: string | null
}

/** Prints on one page of the list. */
export const PRINT_PAGE = 50

/** The latest prints. */
export async function listPrints(db: Database): Promise<PrintLine[]> {
  const rows = await sql<PrintLine>`
    select p.print_id, min(p.occurred_at) as occurred_at, min(p.payload) as payload,
      min(p.form) as form, count(*)::int as codes, count(b.code)::int as bound,
      min(p.reprint_reason) as reprint_reason
    from tag_print p left join tag_now b on b.code = p.code
    group by p.print_id order by 2 desc, 1 limit ${PRINT_PAGE}`.execute(db)
  return rows.rows
}

/** A printed code with all that its label may say. */
export type PrintedTag = {
  code: string
  payload: 'field tag' | 'leaving label'
  form: string
  /** 1 for the first print of this code, 2 for the second … */
  printing: number
  occurred_at: Date
  thing_kind: string | null
  thing_id: string | null
  lot_id: string | null
  lot_reference: string | null
  bundle_number: number | null
  count: number | null
  unit: string | null
  material: string | null
  variety: string | null
  clone: string | null
  class: string | null
  harvest_year: number | null
  passport_code: string | null
  thing_name: string | null
}

/** The codes of one print in their order; empty when there is no such print. */
export async function readPrint(db: Database, printId: string): Promise<PrintedTag[]> {
  const rows = await sql<PrintedTag>`
    select p.code, p.payload, p.form, p.occurred_at, ${described},
      (select count(*)::int from tag_print earlier where earlier.code = p.code
        and (earlier.occurred_at, earlier.entry_id) <= (p.occurred_at, p.entry_id)) as printing
    from tag_print p left join tag_now t on t.code = p.code ${thingJoins}
    where p.print_id = ${printId} order by p.entry_id, p.line`.execute(db)
  return rows.rows
}

/** What a code is, for its page: null when it was neither printed nor used here. */
export type TagDetail = {
  code: string
  thing_kind: string | null
  thing_id: string | null
  lot_id: string | null
  lot_reference: string | null
  bundle_number: number | null
  variety: string | null
  clone: string | null
  class: string | null
  thing_name: string | null
  bound_at: Date | null
  ended_how: string | null
  ended_reason: string | null
  ended_at: Date | null
  replaced_by: string | null
  prints: number
  last_payload: string | null
}

/** Reads one code. */
export async function readTag(db: Database, code: string): Promise<TagDetail | null> {
  const rows = await sql<TagDetail>`
    select c.code, ${described}, t.bound_at, e.how as ended_how, e.reason as ended_reason,
      e.occurred_at as ended_at,
      (select r.code from tag_binding r where r.replaces_code = c.code limit 1) as replaced_by,
      (select count(*)::int from tag_print p where p.code = c.code) as prints,
      (select p.payload from tag_print p where p.code = c.code
        order by p.occurred_at desc limit 1) as last_payload
    from (select ${code}::text as code) c
      left join tag_now t on t.code = c.code
      left join lateral (
        select * from tag_end where code = c.code order by occurred_at, entry_id limit 1
      ) e on true
      ${thingJoins}
    where t.code is not null or e.code is not null
      or exists (select 1 from tag_print p where p.code = c.code)`.execute(db)
  return rows.rows[0] ?? null
}

/** The standing tags of the things given, by thing. */
export async function tagsOf(db: Database, thingIds: string[]): Promise<Map<string, string>> {
  const rows = await sql<{ thing_id: string; code: string }>`
    select thing_id, code from tag_now
    where thing_id = any(${thingIds}::uuid[]) and ended_at is null`.execute(db)
  return new Map(rows.rows.map((row) => [row.thing_id, row.code]))
}

const described = sql`t.thing_kind, t.thing_id, l.lot_id, l.reference as lot_reference,
  u.number as bundle_number, u.count, u.unit, l.material, v.name as variety, l.clone, l.class,
  l.harvest_year, l.passport_code,
  coalesce(s.name, a.name, b.name || ', row ' || r.label) as thing_name`

const thingJoins = sql`
  left join bundle_first u on t.thing_kind = 'bundle' and u.bundle_id = t.thing_id
  left join lot_first l on l.lot_id = coalesce(u.lot_id, t.thing_id)
  left join variety_now v on v.variety_id = l.variety_id
  left join source_now s on t.thing_kind = 'source' and s.source_id = t.thing_id
  left join place_now a on t.thing_kind = 'place' and a.place_id = t.thing_id
  left join block_row_now r on t.thing_kind = 'row' and r.row_id = t.thing_id
  left join block_now b on b.block_id = r.block_id`
