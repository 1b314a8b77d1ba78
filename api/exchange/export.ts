// Exports what the journal tells of a lot, of a block, or in a span of indexes, for other programs.
import type { Database } from '../../db/connect.ts'
import { readDossierEntries } from '../dossier/entries.ts'
import { readScope } from '../dossier/scope.ts'
import { readJournal } from '../journal/read-journal.ts'
import { readStored } from '../journal/read-entry.ts'
import { newId } from '../platform/clock.ts'
import { makeDocument, readHost } from './document.ts'
import type { EpcisDocument } from './epcis-shape.ts'

/** Most entries in one document of a span, and most bytes of them. */
export const SPAN_LIMIT = 1000
const SPAN_BYTES = 8 * 1024 * 1024

/** A stretch of the journal: from this index on, so many entries at most. */
export type Span = { from: number; limit: number }

/**
 * The document of a lot or block: all that a dossier of it would rest on, its lots upstream
 * included. Refuses with `not_found`, `no_host`, and `dossier_too_large`.
 */
export async function exportThing(
  db: Database,
  thing: { kind: 'lot' | 'block'; id: string },
  now: Date,
): Promise<EpcisDocument> {
  await readHost(db)
  const scope = await readScope(db, { ...thing, position: 0 })
  const { entries } = await readDossierEntries(db, scope, Number.MAX_SAFE_INTEGER)
  const recorded = entries.map(({ canonical, recordedAt }) => {
    return { entry: readStored(canonical), recordedAt }
  })
  return makeDocument(db, recorded, { id: newId(), now, words: {} })
}

/**
 * The document of a span of the journal; `cm:journalNext` is where the next one begins. A program
 * that asks on from there hears everything once.
 */
export async function exportSpan(db: Database, span: Span, now: Date): Promise<EpcisDocument> {
  const limit = Math.min(span.limit, SPAN_LIMIT)
  const { rows, next } = await readJournal(db, { from: span.from, limit, byteLimit: SPAN_BYTES })
  const recorded = rows.map(({ canonical, recordedAt }) => {
    return { entry: readStored(canonical), recordedAt }
  })
  const words = { journalFrom: span.from, journalNext: next }
  return makeDocument(db, recorded, { id: newId(), now, words })
}
