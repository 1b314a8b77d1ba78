// Finds what a person may mean by a tag code, a lot reference, a source's name or a vine's address.
import { sql } from 'kysely'
import { formatTagCode, parseTagInput, tagProblemText } from '#trade/tag-code.ts'
import type { Database } from '../../db/connect.ts'

/** What was found; `id` is that of the thing, and a vine has its position besides. */
export type Found = {
  kind: 'lot' | 'bundle' | 'source' | 'vine' | 'row' | 'place' | 'bath' | 'knife'
  id: string
  position: number | null
  label: string
  detail: string
}

/** What was found, and a sentence when the text looked like a tag code but is none. */
export type FindResult = { found: Found[]; tagProblem: string | null }

const eachLimit = 20

/** Looks everything up at once; the best guesses come first: a tag, then a vine, then names. */
export async function findThings(db: Database, text: string): Promise<FindResult> {
  const typed = text.normalize('NFC').trim().slice(0, 200)
  if (typed === '') return { found: [], tagProblem: null }
  const tag = parseTagInput(typed)
  const [tagged, vines, lots, sources] = await Promise.all([
    tag.ok ? findTagged(db, tag.code) : [],
    findVines(db, typed),
    findLots(db, typed),
    findSources(db, typed),
  ])
  const found = [...tagged, ...vines, ...lots, ...sources]
  if (tag.ok && tagged.length === 0) {
    const code = formatTagCode(tag.code)
    return { found, tagProblem: `${code} is a tag code, but it is not bound to anything yet` }
  }
  const nothing = found.length === 0 && !tag.ok
  const looksLikeCode = /^[0-9A-Za-z -]{10,14}$/.test(typed)
  return { found, tagProblem: nothing && looksLikeCode ? tagProblemText(tag) : null }
}

async function findTagged(db: Database, code: string): Promise<Found[]> {
  const rows = await sql<Found>`
    select t.thing_kind as kind, coalesce(u.lot_id, t.thing_id) as id, null::int as position,
      coalesce(l.reference || ', bundle ' || u.number, l.reference, s.name, p.name,
        'row ' || r.label, t.thing_kind) as label,
      'tag ' || t.code || coalesce(', ' || t.ended_how, '') as detail
    from tag_now t
      left join bundle_first u on t.thing_kind = 'bundle' and u.bundle_id = t.thing_id
      left join lot_first l on l.lot_id = coalesce(u.lot_id, t.thing_id)
      left join source_now s on s.source_id = t.thing_id
      left join place_now p on p.place_id = t.thing_id
      left join block_row_now r on r.row_id = t.thing_id
    where t.code = ${code}`.execute(db)
  return rows.rows
}

/** A vine is written as block, row and position: "Upper 12/34", "12 34", "Upper 12 / 34". */
async function findVines(db: Database, typed: string): Promise<Found[]> {
  const parts = /^(.*?)[\s,/.:-]*(?:vine|pos(?:ition)?)?[\s,/.:-]+(\d{1,4})$/i.exec(typed)
  if (parts === null) return []
  const where = (parts[1] ?? '')
    .replace(/\brow\b/gi, ' ')
    .replace(/[\s,/]+/g, ' ')
    .trim()
  const position = Number(parts[2])
  if (where === '') return []
  const rows = await sql<Found>`
    select 'vine' as kind, r.row_id as id, ${position}::int as position,
      b.name || ', row ' || r.label || ', vine ' || ${position}::int as label,
      r.position_count || ' positions' as detail
    from block_row_now r join block_now b on b.block_id = r.block_id
    where (lower(r.label) = lower(${where}) or lower(b.name || ' ' || r.label) = lower(${where}))
      and r.position_count >= ${position}
    order by b.name, r.sequence limit ${eachLimit}`.execute(db)
  return rows.rows
}

async function findLots(db: Database, typed: string): Promise<Found[]> {
  const rows = await sql<Found>`
    select 'lot' as kind, l.lot_id as id, null::int as position, l.reference as label,
      concat_ws(', ', v.name, l.clone, to_char(l.occurred_at, 'YYYY-MM-DD')) as detail
    from lot_first l left join variety_now v on v.variety_id = l.variety_id
    where l.reference ilike ${contains(typed)}
    order by lower(l.reference) <> lower(${typed}), l.occurred_at desc limit ${eachLimit}
  `.execute(db)
  return rows.rows
}

async function findSources(db: Database, typed: string): Promise<Found[]> {
  const rows = await sql<Found>`
    select 'source' as kind, s.source_id as id, null::int as position, s.name as label,
      concat_ws(', ', s.level, v.name, s.clone, s.registry_number) as detail
    from source_now s left join variety_now v on v.variety_id = s.variety_id
    where s.name ilike ${contains(typed)} or s.registry_number ilike ${contains(typed)}
    order by s.name, s.source_id limit ${eachLimit}`.execute(db)
  return rows.rows
}

const contains = (text: string) => `%${text.replace(/[\\%_]/g, '\\$&')}%`
