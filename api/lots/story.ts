// A lot's whole story: what was recorded of it, in order of time, with what was withdrawn marked.
import { sql } from 'kysely'
import type { Entry } from '#wire/entry.ts'
import type { Database } from '../../db/connect.ts'
import { readNames } from '../journal/names.ts'
import { readStored } from '../journal/read-entry.ts'
import { storyEvents } from './story-events.ts'
import type { EventKey } from './story-events.ts'

/** Most events on one page of a story. */
export const STORY_PAGE = 100

/** One entry, as it was written, with who wrote it and when by both clocks. */
export type StoryEntry = {
  what: 'entry'
  entry: Entry
  occurred_at: Date
  recorded_at: Date
  journal_index: number
  person_id: string
  person: string | null
  device_id: string
  device: string | null
  /** The withdrawal that took the entry back, or null while it counts. */
  withdrawn: {
    entry_id: string
    reason: string
    person_id: string
    person: string | null
    occurred_at: Date
  } | null
}

/**
 * What was done on many vines of one row on one day (of the zone asked for), told in one line.
 * `occurred_at` is the first, `last_at` the last of them; `recorded_at` when the last one came in.
 */
export type StoryGroup = {
  what: 'grafts' | 'take checks' | 'removals'
  row_id: string
  day: string
  occurred_at: Date
  last_at: Date
  recorded_at: Date
  vines: number
  /** Grafts made, looks taken at vines, or grafts removed. */
  count: number
  /** Buds set (grafts), seen (take checks) or gone with the graft (removals). */
  buds: number
  /** Buds seen to grow, callused but still, and failed: take checks only, else 0. */
  growing: number
  callused: number
  failed: number
  /** Methods of grafting, or reasons of removal. */
  words: string[]
  person_ids: string[]
  device_ids: string[]
}

export type StoryEvent = StoryEntry | StoryGroup

/** One page of a story, the earliest events first; `names` holds a name for each id in it. */
export type Story = { events: StoryEvent[]; total: number; names: Map<string, string> }

/**
 * The story of a lot, its bundles, their tags and the holds on it. Grafts, take checks and
 * removals are told by row and day, days counted in the IANA time zone `zone`; an entry that was
 * withdrawn stands alone and is marked (invariant 10). `page` counts from 0. A take check that
 * does not tell grafts apart shows when the vine ever bore the lot.
 */
export async function readStory(
  db: Database,
  lotId: string,
  zone: string,
  page: number,
): Promise<Story> {
  const { total, keys } = await storyEvents(db, lotId, zone, page * STORY_PAGE, STORY_PAGE)
  const entryIds = keys.flatMap((key) => (key.what === 'entry' ? [key.id] : []))
  const entries = await readEntries(db, entryIds)
  const events = keys.map((key) => eventOf(key, entries))
  return { events, total, names: await readNames(db, idsIn(events)) }
}

function eventOf(key: EventKey, entries: Map<string, StoryEntry>): StoryEvent {
  if (key.what !== 'entry') {
    const { id, at, what, ...group } = key
    return { what, row_id: id, occurred_at: at, ...group }
  }
  const entry = entries.get(key.id)
  if (entry === undefined) throw new Error(`the journal lost entry ${key.id} while it was read`)
  return entry
}

type EntryLine = Omit<StoryEntry, 'what' | 'entry' | 'withdrawn'> & {
  id: string
  canonical: Buffer
  w_entry_id: string | null
  w_reason: string
  w_person_id: string
  w_person: string | null
  w_at: Date
}

/** Entries by id, each with its writer and its first withdrawal. */
async function readEntries(db: Database, ids: string[]): Promise<Map<string, StoryEntry>> {
  if (ids.length === 0) return new Map()
  const rows = await sql<EntryLine>`
    select e.id, e.canonical, e.occurred_at, e.recorded_at, e.journal_index, e.person_id,
      p.name as person, e.device_id, d.name as device, w.entry_id as w_entry_id,
      w.reason as w_reason, w.person_id as w_person_id, wp.name as w_person,
      w.withdrawn_at as w_at
    from entry e
      left join person p on p.person_id = e.person_id
      left join device d on d.device_id = e.device_id
      left join lateral (
        select * from withdrawal w where w.withdrawn_id = e.id
        order by w.withdrawn_at, w.entry_id limit 1
      ) w on true
      left join person wp on wp.person_id = w.person_id
    where e.id = any(${ids}::uuid[])`.execute(db)
  return new Map(rows.rows.map((row) => [row.id, storyEntry(row)]))
}

function storyEntry(row: EntryLine): StoryEntry {
  const withdrawn =
    row.w_entry_id === null
      ? null
      : {
          entry_id: row.w_entry_id,
          reason: row.w_reason,
          person_id: row.w_person_id,
          person: row.w_person,
          occurred_at: row.w_at,
        }
  return {
    what: 'entry',
    entry: readStored(row.canonical),
    occurred_at: row.occurred_at,
    recorded_at: row.recorded_at,
    journal_index: row.journal_index,
    person_id: row.person_id,
    person: row.person,
    device_id: row.device_id,
    device: row.device,
    withdrawn,
  }
}

const idPattern = /[0-9a-f]{8}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{12}/g

/** Every id that an event mentions. */
function idsIn(events: StoryEvent[]): string[] {
  return events.flatMap((event) =>
    event.what === 'entry'
      ? (JSON.stringify(event.entry).match(idPattern) ?? [])
      : [event.row_id, ...event.person_ids, ...event.device_ids],
  )
}
