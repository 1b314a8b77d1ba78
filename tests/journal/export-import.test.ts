// The journal as a file: what goes out comes in again, to the byte, and damage is refused.
import { sql } from 'kysely'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { canonicalBytes, leafHash } from '../../api/journal/canonical.ts'
import { exportJournal } from '../../api/journal/export.ts'
import { importJournal } from '../../api/journal/import.ts'
import { ingest } from '../../api/journal/ingest.ts'
import { journalLine } from '../../api/journal/line.ts'
import { rebuild } from '../../api/journal/rebuild.ts'
import { settleFindings } from '../../api/journal/settle.ts'
import type { Database } from '../../db/connect.ts'
import { freshDatabase } from '../database.ts'
import type { TestDatabase } from '../database.ts'
import { factsSnapshot } from '../sim/facts-snapshot.ts'
import { randomSeason } from '../sim/season.ts'

const seasonSize = 2500
let origin: TestDatabase
let text: string

beforeAll(async () => {
  origin = await freshDatabase()
  const entries = randomSeason(20270301, seasonSize)
  for (const device of new Set(entries.map((entry) => entry.device))) {
    const own = entries.filter((entry) => entry.device === device)
    for (let at = 0; at < own.length; at += 300) {
      await ingest(origin.app.db, device, own.slice(at, at + 300))
    }
  }
  await settleFindings(origin.app.db)
  text = await exported(origin.reader.db)
})
afterAll(() => origin.drop())

async function exported(db: Database): Promise<string> {
  let all = ''
  for await (const piece of exportJournal(db)) all += piece
  return all
}

/** The bytes in uneven pieces, so that lines and characters are cut anywhere. */
async function* inPieces(bytes: Uint8Array): AsyncGenerator<Uint8Array> {
  let size = 1
  for (let at = 0; at < bytes.length; at += size, size = (size * 7 + 3) % 5000) {
    size = Math.max(size, 1)
    yield bytes.subarray(at, at + size)
  }
}

const importText = (database: TestDatabase, from: string | Uint8Array) =>
  importJournal(
    database.owner.db,
    inPieces(typeof from === 'string' ? new TextEncoder().encode(from) : from),
  )

async function journalOf(db: Database) {
  const rows = await sql<{ row: string }>`
    select to_jsonb(e)::text as row from entry e order by journal_index`.execute(db)
  return rows.rows.map(({ row }) => row)
}

describe('export and import', () => {
  it('an import has the same journal, recorded times and facts (invariants 1 and 3)', async () => {
    const copy = await freshDatabase()
    try {
      expect(await importText(copy, text)).toBe(seasonSize)
      expect(await journalOf(copy.app.db)).toEqual(await journalOf(origin.app.db))
      const facts = await factsSnapshot(origin.app.db)
      expect(facts.graft?.length).toBeGreaterThan(100)
      expect(facts.finding?.length).toBeGreaterThan(0)
      expect(await factsSnapshot(copy.app.db)).toEqual(facts)
      expect(await exported(copy.reader.db)).toBe(text)
    } finally {
      await copy.drop()
    }
  })

  it('the copy goes on from there: the next entry has the next index', async () => {
    const copy = await freshDatabase()
    try {
      await importText(copy, text)
      const [entry] = randomSeason(77, 10)
      if (entry === undefined) throw new Error('a season has entries')
      const results = await ingest(copy.app.db, entry.device, [entry])
      expect(results).toEqual([{ id: entry.id, result: 'recorded', journalIndex: seasonSize }])
    } finally {
      await copy.drop()
    }
  })

  it('the entry can be cut out of its line as the bytes that were hashed', async () => {
    const rows = await origin.app.db
      .selectFrom('entry')
      .select(['canonical', 'journal_index'])
      .orderBy('journal_index')
      .execute()
    const lines = text.split('\n')
    expect(lines.at(-1)).toBe('')
    expect(lines.at(-2)).toBe(`{"end":${seasonSize}}`)
    rows.forEach((row, nr) => {
      const line = lines[nr] ?? ''
      const cut = line.slice(line.indexOf(',"entry":') + ',"entry":'.length, -1)
      expect(cut).toBe(row.canonical.toString('utf8'))
      expect(line.startsWith(`{"index":${row.journal_index},"recordedAt":"`)).toBe(true)
    })
  })

  it('an empty journal goes out as its closing line and comes in as nothing', async () => {
    const empty = await freshDatabase()
    try {
      expect(await exported(empty.app.db)).toBe('{"end":0}\n')
      expect(await importText(empty, '{"end":0}\n')).toBe(0)
    } finally {
      await empty.drop()
    }
  })

  it('a database that holds entries takes no import', async () => {
    await expect(importText(origin, text)).rejects.toThrow(
      `already holds ${seasonSize} entries, and an import only fills an empty one`,
    )
  })

  it('the app may not choose times of recording: importing is the owner’s alone', async () => {
    const empty = await freshDatabase()
    try {
      await expect(
        importJournal(empty.app.db, inPieces(new TextEncoder().encode(text))),
      ).rejects.toThrow(/permission denied/)
    } finally {
      await empty.drop()
    }
  })
})

describe('damage', () => {
  let target: TestDatabase
  beforeAll(async () => {
    target = await freshDatabase()
  })
  afterAll(() => target.drop())

  const lines = () => text.split('\n')
  const withLine = (number: number, change: (line: string) => string) =>
    lines()
      .map((line, nr) => (nr === number - 1 ? change(line) : line))
      .join('\n')

  it.each<[string, () => string | Uint8Array, RegExp]>([
    ['cut off within a line', () => text.slice(0, 400_000), /line \d+: .*not JSON/],
    [
      'cut off at the end of a line',
      () => `${lines().slice(0, 1200).join('\n')}\n`,
      /ends after line 1200 without its closing line/,
    ],
    [
      'one letter of an entry changed',
      () => withLine(1503, (line) => line.replace('"person":"', '"person":"0').slice(0, -1) + '}'),
      /line 1503: the entry does not fit its leafHash/,
    ],
    [
      'its time of recording impossible',
      () => withLine(7, (line) => line.replace(/T\d\d:/, 'T33:')),
      /line 7: recordedAt .* is no time/,
    ],
    [
      'a line missing',
      () => text.replace(`${lines()[1999]}\n`, ''),
      /line 2000: the entry of index 1999 is due here, not 2000/,
    ],
    [
      'a line twice',
      () => withLine(20, (line) => `${line}\n${line}`),
      /line 21: the entry of index 20 is due here, not 19/,
    ],
    ['an empty line', () => withLine(3, (line) => `\n${line}`), /line 3: .*not JSON/],
    ['spaces added', () => withLine(4, (line) => line.replace(',', ', ')), /line 4: /],
    ['Windows line ends', () => text.replaceAll('\n', '\r\n'), /line 1: /],
    [
      'a wrong count',
      () => text.replace(`{"end":${seasonSize}}`, '{"end":3}'),
      /line 2501: the closing line tells of 3 entries; 2500 came before/,
    ],
    ['something after its end', () => `${text}{"end":1}\n`, /line 2502: something stands after/],
    ['another file altogether', () => 'rows,vines\n1,2\n', /line 1: .*not JSON/],
    ['nothing in it', () => '', /ends after line 0 without its closing line/],
    [
      'a byte that is not UTF-8',
      () => {
        const bytes = new TextEncoder().encode(text)
        bytes[text.indexOf('\n') + 30] = 0xff
        return bytes
      },
      /line 2: not UTF-8 text/,
    ],
    ['a line without end', () => 'x'.repeat(2_000_000), /line 1: longer than any line may be/],
  ])('a file with %s is refused with its place, and nothing is imported', async (_, file, says) => {
    await expect(importText(target, file())).rejects.toThrow(says)
    expect(await journalOf(target.app.db)).toEqual([])
    const facts = await factsSnapshot(target.app.db)
    expect(Object.values(facts).flat()).toEqual([])
  })

  it('an entry of a kind that this program does not know is refused with its line', async () => {
    const [entry] = randomSeason(8, 10)
    const canonical = canonicalBytes({ ...entry, kind: 'vine.sung_to' })
    const recordedAt = '2027-02-03T10:00:00.000001Z'
    const line = journalLine({ index: 0, recordedAt, leafHash: leafHash(canonical), canonical })
    await expect(importText(target, `${line}\n{"end":1}\n`)).rejects.toThrow(
      /line 1: kind: "vine.sung_to" is no kind of entry that this server knows/,
    )
  })

  it('an entry that stands twice under two indexes is refused', async () => {
    const [first = ''] = lines()
    const again = first.replace('{"index":0,', '{"index":1,')
    await expect(importText(target, `${first}\n${again}\n{"end":2}\n`)).rejects.toThrow(
      /lines 1 to 2: an entry stands in the file twice/,
    )
    expect(await journalOf(target.app.db)).toEqual([])
  })
})

describe('rebuild', () => {
  it('facts that were tampered with are what the journal says again', async () => {
    const before = await factsSnapshot(origin.app.db)
    await sql`delete from graft`.execute(origin.owner.db)
    await sql`update balance set count = count + 1`.execute(origin.owner.db)
    expect(await rebuild(origin.owner.db)).toBe(seasonSize)
    expect(await factsSnapshot(origin.app.db)).toEqual(before)
  })
})
