// The server is lost; last night's backup and phones that send all they have bring the record back.
import { mkdtemp, rm } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import path from 'node:path'
import { afterAll, expect, it } from 'vitest'
import { backup } from '../../api/journal/backup.ts'
import { ingest } from '../../api/journal/ingest.ts'
import { restore } from '../../api/journal/restore.ts'
import { settleFindings } from '../../api/journal/settle.ts'
import { verify } from '../../api/journal/verify.ts'
import type { Database } from '../../db/connect.ts'
import type { Entry } from '#wire/entry.ts'
import { freshDatabase } from '../database.ts'
import { factsSnapshot, withoutRecordTimes } from '../sim/facts-snapshot.ts'
import { randomSeason, seeded } from '../sim/season.ts'
import { recordAll } from '../ops/recorded-season.ts'

const size = 1600
const folders: string[] = []
afterAll(async () => {
  for (const folder of folders) await rm(folder, { recursive: true, force: true })
})

const idsOf = async (db: Database) => {
  const rows = await db.selectFrom('entry').select('id').execute()
  return new Set(rows.map(({ id }) => id))
}

/** Batches of one device each, in an order that no phone kept. */
function shuffledBatches(entries: Entry[], seed: number): Entry[][] {
  const random = seeded(seed)
  const batches: Entry[][] = []
  for (const device of new Set(entries.map((entry) => entry.device))) {
    const own = entries.filter((entry) => entry.device === device)
    for (let at = 0; at < own.length; at += 50) batches.push(own.slice(at, at + 50))
  }
  const keyed = batches.map((batch) => ({ batch, key: random() }))
  return keyed.sort((a, b) => a.key - b.key).map(({ batch }) => batch)
}

it('last night’s backup and phones sending all again give the same (invariant 2)', async () => {
  const entries = randomSeason(20270412, size)
  const yesterday = entries.slice(0, Math.floor(size * 0.6))
  const today = entries.slice(yesterday.length)
  const lost = await freshDatabase()
  const found = await freshDatabase()
  const work = await mkdtemp(path.join(tmpdir(), 'canemark-resend-'))
  folders.push(work)
  try {
    await recordAll(lost.app.db, yesterday)
    const folder = path.join(work, 'night')
    await backup(lost.owner.db, folder, new Date('2027-04-12T01:30:00Z'))
    await recordAll(lost.app.db, today)
    const before = withoutRecordTimes(await factsSnapshot(lost.app.db))
    const ids = await idsOf(lost.app.db)

    const { verified } = await restore(found.owner.db, folder)
    expect(verified.entries).toBe(yesterday.length)
    let recorded = 0
    let known = 0
    for (const batch of shuffledBatches(entries, 9)) {
      const results = await ingest(found.app.db, batch[0]?.device ?? '', batch)
      recorded += results.filter(({ result }) => result === 'recorded').length
      known += results.filter(({ result }) => result === 'already recorded').length
    }
    await settleFindings(found.app.db)

    expect({ recorded, known }).toEqual({ recorded: today.length, known: yesterday.length })
    expect(await idsOf(found.app.db)).toEqual(ids)
    expect(withoutRecordTimes(await factsSnapshot(found.app.db))).toEqual(before)
    expect(before.graft?.length).toBeGreaterThan(100)
    expect(await verify(found.reader.db)).toMatchObject({ verified: { entries: entries.length } })
    console.log(
      `${yesterday.length} entries from the backup, ${recorded} sent again by phones, ` +
        `0 of ${ids.size} lost`,
    )
  } finally {
    await Promise.all([lost.drop(), found.drop()])
  }
})
