// Finds and orders the events of a lot's story: single entries, and vines grouped by row and day.
import { sql } from 'kysely'
import type { Database } from '../../db/connect.ts'

/** One event of a story before its entry is read; `id` is that of the entry, or of the row. */
export type EventKey =
  | { what: 'entry'; id: string; at: Date }
  | {
      what: 'grafts' | 'take checks' | 'removals'
      id: string
      at: Date
      day: string
      last_at: Date
      recorded_at: Date
      vines: number
      count: number
      buds: number
      growing: number
      callused: number
      failed: number
      words: string[]
      person_ids: string[]
      device_ids: string[]
    }

/**
 * One page of the events of lot `lotId`, the earliest first, and how many there are in all. Days
 * are counted in the IANA time zone `zone`.
 */
export async function storyEvents(
  db: Database,
  lotId: string,
  zone: string,
  offset: number,
  limit: number,
): Promise<{ total: number; keys: EventKey[] }> {
  const rows = await sql<{ total: number; key: EventKey | null }>`
    with ${things(lotId)}, ${told(lotId)}, ${doneOnVines(lotId)},
    event as (
      select 'entry' as what, t.entry_id as id, e.occurred_at as at, null::date as day,
        null::timestamptz as last_at, null::timestamptz as recorded_at, null::int as vines,
        null::int as count, null::int as buds, null::int as growing, null::int as callused,
        null::int as failed, null::text[] as words, null::uuid[] as person_ids,
        null::uuid[] as device_ids
      from told t join entry e on e.id = t.entry_id
      union all
      select d.what, d.row_id, min(d.at), (d.at at time zone ${zone})::date, max(d.at),
        max(e.recorded_at), count(distinct d.position)::int, count(distinct d.thing_id)::int,
        sum(d.buds)::int, sum(d.growing)::int, sum(d.callused)::int, sum(d.failed)::int,
        array_agg(distinct d.word) filter (where d.word is not null),
        array_agg(distinct e.person_id), array_agg(distinct e.device_id)
      from done d join entry e on e.id = d.entry_id
      group by d.what, d.row_id, 4
    )
    select (select count(*) from event) as total, to_jsonb(page) as key
    from (select 1) as one left join lateral (
      select * from event order by at, what, id, day limit ${limit} offset ${offset}
    ) page on true`.execute(db)
  const keys = rows.rows.flatMap(({ key }) => (key === null ? [] : [withDates(key)]))
  return { total: rows.rows[0]?.total ?? 0, keys }
}

/** JSON brings times as text. */
function withDates(key: EventKey): EventKey {
  if (key.what === 'entry') return { what: key.what, id: key.id, at: new Date(key.at) }
  return {
    ...key,
    at: new Date(key.at),
    last_at: new Date(key.last_at),
    recorded_at: new Date(key.recorded_at),
    words: key.words ?? [],
  }
}

/** The lot, its bundles (those of a withdrawn cut too), the holds on it; and its tags' codes. */
function things(lotId: string) {
  return sql`thing as (
      select ${lotId}::uuid as id
      union select bundle_id from bundle where lot_id = ${lotId}
      union
      select other.subject_id from entry_subject own
        join entry_subject other on other.entry_id = own.entry_id
        join entry e on e.id = own.entry_id
      where own.subject_id = ${lotId} and (other.subject_kind = 'hold'
        or other.subject_kind = 'bundle' and e.kind in ('lot.cut', 'lot.received'))
    ),
    tag as (select distinct b.code from thing join tag_binding b on b.thing_id = thing.id)`
}

/**
 * Entries that are told one by one. Entries made at vines have no subjects of their own while
 * they count, so that those found here through a graft were withdrawn, or are removals.
 */
function told(lotId: string) {
  return sql`told as (
      select s.entry_id from thing join entry_subject s on s.subject_id = thing.id
      union
      select t.entry_id from tag join tag_end t on t.code = tag.code
      union
      select e.id from withdrawal w
        join entry e on e.id = w.withdrawn_id and e.kind = 'tag.spoiled'
        join tag on tag.code = convert_from(e.canonical, 'UTF8')::jsonb #>> '{body,code}'
      union
      select s.entry_id from graft g
        join entry_subject s on s.subject_id = g.entry_id and s.subject_kind = 'graft'
        join withdrawal w on w.withdrawn_id = s.entry_id
      where g.lot_id = ${lotId}
    )`
}

function doneOnVines(lotId: string) {
  return sql`done as (
      select 'grafts' as what, entry_id, entry_id as thing_id, row_id, position, grafted_at as at,
        bud_count as buds, 0 as growing, 0 as callused, 0 as failed, method as word
      from graft where lot_id = ${lotId}
      union all
      select 'removals', r.entry_id, r.graft_id, g.row_id, g.position, r.occurred_at, g.bud_count,
        0, 0, 0, r.reason
      from graft g join graft_removal r on r.graft_id = g.entry_id where g.lot_id = ${lotId}
      union all
      select 'take checks', c.entry_id, c.entry_id, c.row_id, c.position, c.checked_at,
        c.growing + c.callused + c.failed, c.growing, c.callused, c.failed, null
      from graft g join take_check c on c.graft_id = g.entry_id where g.lot_id = ${lotId}
      union all
      select 'take checks', c.entry_id, c.entry_id, c.row_id, c.position, c.checked_at,
        c.growing + c.callused + c.failed, c.growing, c.callused, c.failed, null
      from (select distinct row_id, position from graft where lot_id = ${lotId}) v
        join take_check c on c.row_id = v.row_id and c.position = v.position
      where c.graft_id is null
    )`
}
