// Reads a snapshot for a phone: whole, or what changed since the one that it holds.
import { createHash } from 'node:crypto'
import { SNAPSHOT_VERSION } from '#wire/api-snapshot.ts'
import type { SnapshotBlockShape, SnapshotShape } from '#wire/api-snapshot.ts'
import type { Database } from '../../db/connect.ts'
import { readBlock } from '../nursery/read-blocks.ts'
import { readSnapshotCodes } from './codes.ts'
import { readSnapshotLots } from './lots.ts'
import { readSnapshotBlocks, readSnapshotRows, rowsOfBlock } from './rows.ts'
import { readSeason } from './season.ts'
import type { Season } from './season.ts'
import { readSetting } from './setting.ts'
import { readBathsPart, readHoldsPart, readSourcesPart } from './sources.ts'
import { readStand, readTouched } from './touched.ts'
import type { Stand, Touched } from './touched.ts'
import { readWeatherPart } from './weather.ts'
import { chooseAllLots, chooseTouchedLots } from './which-lots.ts'

/** What a phone holds already; null when it holds nothing. */
export type Held = Stand | null

/**
 * Everything but rows, as the records stand at one moment. `have` are the digests of the parts
 * that the phone holds: a part that is still the same is not sent again.
 */
export async function readSnapshot(
  db: Database,
  held: Held,
  have: readonly string[],
  now: Date,
): Promise<SnapshotShape> {
  return atOneMoment(db, async (trx) => {
    const { season, stand, touched } = await standing(trx, held, now)
    const setting = withDigest(await readSetting(trx, season, now))
    const sources = withDigest(await readSourcesPart(trx, season))
    const baths = withDigest(await readBathsPart(trx, season))
    const holds = withDigest(await readHoldsPart(trx))
    const weather = withDigest(await readWeatherPart(trx, now))
    const known = new Set(touched === null ? [] : have)
    const fresh = <P extends { digest: string }>(part: P) => (known.has(part.digest) ? null : part)
    const { lotIds, goneLots } =
      touched === null
        ? await chooseAllLots(trx, season)
        : await chooseTouchedLots(trx, season, touched.ids)
    return {
      ...stood(stand, touched, now),
      setting: fresh(setting),
      sources: fresh(sources),
      baths: fresh(baths),
      holds: fresh(holds),
      weather: fresh(weather),
      lots: await readSnapshotLots(trx, lotIds, now),
      goneLots,
      codes: await readSnapshotCodes(trx, lotIds, touched),
      blocks: await readSnapshotBlocks(trx, season, touched?.ids ?? null),
    }
  })
}

/** The rows of one block, in the same way; null when no entry tells of the block. */
export async function readBlockSnapshot(
  db: Database,
  blockId: string,
  held: Held,
  now: Date,
): Promise<SnapshotBlockShape | null> {
  return atOneMoment(db, async (trx) => {
    if ((await readBlock(trx, blockId)) === null) return null
    const { season, stand, touched } = await standing(trx, held, now)
    const rowIds = await rowsOfBlock(trx, blockId)
    const wanted = rowIds.filter((rowId) => touched === null || touched.ids.has(rowId))
    const rows = await readSnapshotRows(trx, wanted, season)
    return { ...stood(stand, touched, now), blockId, rowIds, rows }
  })
}

/** All reads see the records as they were when the first of them began. */
async function atOneMoment<T>(db: Database, read: (trx: Database) => Promise<T>): Promise<T> {
  return db
    .transaction()
    .setIsolationLevel('repeatable read')
    .setAccessMode('read only')
    .execute(read)
}

async function standing(
  db: Database,
  held: Held,
  now: Date,
): Promise<{ season: Season; stand: Stand; touched: Touched | null }> {
  const season = await readSeason(db, now)
  const stand = await readStand(db, season.year)
  const touched = held === null ? null : await readTouched(db, held, stand)
  return { season, stand, touched }
}

const stood = (stand: Stand, touched: Touched | null, now: Date) => ({
  version: SNAPSHOT_VERSION,
  whole: touched === null,
  ...stand,
  takenAt: now.toISOString(),
})

function withDigest<P extends object>(part: P): P & { digest: string } {
  const hash = createHash('sha256').update(JSON.stringify(part), 'utf8').digest('hex')
  return { digest: hash.slice(0, 16), ...part }
}
