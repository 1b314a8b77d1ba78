// Makes a document of EPCIS events out of entries: with their ids, error declarations and names.
import { sql } from 'kysely'
import type { Entry } from '#wire/entry.ts'
import type { Database } from '../../db/connect.ts'
import { readStored } from '../journal/read-entry.ts'
import { refuse } from '../platform/errors.ts'
import { readNursery } from '../nursery/read.ts'
import { nameSpaceAt } from './addresses.ts'
import type { EpcisDocument, EpcisEvent } from './epcis-shape.ts'
import { eventHashId, ownPrefixes } from './event-hash.ts'
import { eventsOf, toldKinds } from './events-of.ts'
import type { Grafted } from './events-of.ts'
import { readNamesOf } from './names.ts'
import { ownWords } from './tell.ts'
import { OWN_PREFIX, SCHEMA_VERSION, STANDARD_CONTEXT } from './terms.ts'

/** An entry with when the server recorded it, ISO 8601 in UTC. */
export type Recorded = { entry: Entry; recordedAt: string }

/** What a document is made with: its id, the moment, and words of ours about the whole. */
export type DocumentAbout = { id: string; now: Date; words: Record<string, number | string> }

/** The host that our addresses stand under. Refuses with `no_host` while none is set. */
export async function readHost(db: Database): Promise<string> {
  const nursery = await readNursery(db)
  if (nursery !== null && nursery.label_host !== null) return nursery.label_host
  const detail =
    'nothing can be told to others before the nursery has a host of its own: give one under ' +
    'Nursery, at “Host on leaving labels”'
  return refuse('no_host', detail, { status: 409 })
}

/**
 * The document of `recorded`, in their order. An entry that withdraws another tells that entry's
 * events again with an error declaration; kinds that are not told are counted in `cm:notTold`.
 */
export async function makeDocument(
  db: Database,
  recorded: readonly Recorded[],
  about: DocumentAbout,
): Promise<EpcisDocument> {
  const host = await readHost(db)
  const more = await readMore(db, recorded)
  const eventList = recorded.flatMap(({ entry, recordedAt }) => {
    const events =
      entry.kind === 'entry.withdrawn'
        ? declared(entry, recordedAt, host, more)
        : withIds(eventsOf(entry, host, more.grafted), host)
    return events.map((event): EpcisEvent => ({ ...event, recordTime: recordedAt }))
  })
  return {
    '@context': [STANDARD_CONTEXT, { [OWN_PREFIX]: nameSpaceAt(host) }],
    id: `urn:uuid:${about.id}`,
    type: 'EPCISDocument',
    schemaVersion: SCHEMA_VERSION,
    creationDate: about.now.toISOString(),
    ...ownWords({
      ...about.words,
      notTold: notTold(recorded),
      names: await readNamesOf(db, host, eventList),
    }),
    epcisBody: { eventList },
  }
}

/** Each event with the id that follows from it. */
function withIds(events: EpcisEvent[], host: string): EpcisEvent[] {
  const prefixes = ownPrefixes(nameSpaceAt(host))
  return events.map((event) => ({ ...event, eventID: eventHashId(event, prefixes) }))
}

/** Entries that others here refer to: withdrawn ones, what came in their place, and grafts. */
type More = { withdrawn: Map<string, Entry>; instead: Map<string, Entry>; grafted: Grafted }

async function readMore(db: Database, recorded: readonly Recorded[]): Promise<More> {
  const entries = recorded.map(({ entry }) => entry)
  const gone = entries.flatMap((entry) => {
    return entry.kind === 'entry.withdrawn' ? [entry.body.entryId] : []
  })
  const withdrawn = await readEntries(db, gone)
  const ended = [...entries, ...withdrawn.values()].flatMap((entry) => {
    return entry.kind === 'graft.removed' ? [entry.body.graftId] : []
  })
  const grafted = new Map<string, { rowId: string; position: number }>()
  for (const [id, entry] of await readEntries(db, ended)) {
    if (entry.kind === 'graft.made') grafted.set(id, entry.body.vine)
  }
  return { withdrawn, instead: await readInstead(db, withdrawn), grafted }
}

async function readEntries(db: Database, ids: string[]): Promise<Map<string, Entry>> {
  if (ids.length === 0) return new Map()
  const rows = await db
    .selectFrom('entry')
    .select(['id', 'canonical'])
    .where('id', '=', sql<string>`any(${ids}::uuid[])`)
    .execute()
  return new Map(rows.map(({ id, canonical }) => [id, readStored(canonical)]))
}

/** For each withdrawn entry that made a lot: the entry that makes the same lot now, if any does. */
async function readInstead(db: Database, withdrawn: Map<string, Entry>) {
  const lots = [...withdrawn.values()].flatMap((entry) => {
    const lotId = madeLot(entry)
    return lotId === null ? [] : [{ id: entry.id, lotId }]
  })
  if (lots.length === 0) return new Map<string, Entry>()
  const rows = await db
    .selectFrom('lot')
    .select(['lot_id', 'entry_id'])
    .where('lot_id', '=', sql<string>`any(${lots.map(({ lotId }) => lotId)}::uuid[])`)
    .orderBy('occurred_at')
    .orderBy('entry_id')
    .execute()
  const standing = new Map(rows.map((row) => [row.lot_id, row.entry_id]))
  const entries = await readEntries(db, [...standing.values()])
  return new Map(
    lots.flatMap(({ id, lotId }) => {
      const entry = entries.get(standing.get(lotId) ?? '')
      return entry === undefined ? [] : [[id, entry] as const]
    }),
  )
}

function madeLot(entry: Entry): string | null {
  switch (entry.kind) {
    case 'lot.cut':
    case 'lot.received':
    case 'lot.combined':
      return entry.body.lotId
    default:
      return null
  }
}

/** The events of the withdrawn entry as they were, each said to be wrong. */
function declared(
  entry: Entry<'entry.withdrawn'>,
  recordedAt: string,
  host: string,
  { withdrawn, instead, grafted }: More,
): EpcisEvent[] {
  const wrong = withdrawn.get(entry.body.entryId)
  if (wrong === undefined) return []
  const better = instead.get(wrong.id)
  const correct = better === undefined ? [] : withIds(eventsOf(better, host, grafted), host)
  const correctiveEventIDs = correct.flatMap(({ eventID }) => eventID ?? [])
  return withIds(eventsOf(wrong, host, grafted), host).map((event) => ({
    ...event,
    errorDeclaration: {
      declarationTime: recordedAt,
      reason: better === undefined ? 'did_not_occur' : 'incorrect_data',
      ...(better === undefined ? {} : { correctiveEventIDs }),
      ...ownWords({ reason: entry.body.reason, entryId: entry.id }),
    },
  }))
}

function notTold(recorded: readonly Recorded[]) {
  const counts = new Map<string, number>()
  for (const { entry } of recorded) {
    if (!toldKinds.includes(entry.kind)) counts.set(entry.kind, (counts.get(entry.kind) ?? 0) + 1)
  }
  return [...counts].sort().map(([kind, count]) => ownWords({ kind, count }))
}
