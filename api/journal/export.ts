// Writes the whole journal as lines of text, from which any empty database can be filled.
import type { Database } from '../../db/connect.ts'
import { endLine, journalLine } from './line.ts'
import { journalSize, readJournal } from './read-journal.ts'

/** Entries read at a time, and most bytes of them. */
const STEP = 1000
const STEP_BYTES = 8 * 1024 * 1024

/**
 * The journal as it stands when this begins, as UTF-8 NDJSON: pieces of text, each of whole lines
 * with their line feeds; one line for each entry, in order, then the closing line. Memory use does
 * not grow with the journal. The format is told in docs/journal-format.md.
 */
export async function* exportJournal(db: Database): AsyncGenerator<string, void, void> {
  const size = await journalSize(db)
  for (let next = 0; next < size;) {
    const limit = Math.min(STEP, size - next)
    const page = await readJournal(db, { from: next, limit, byteLimit: STEP_BYTES })
    if (page.rows[0]?.index !== next) throw new Error(`the journal has no entry ${next}`)
    next = page.next
    yield page.rows.map((row) => `${journalLine(row)}\n`).join('')
  }
  yield `${endLine(size)}\n`
}
