// Photos beside entries: kept apart from the journal, by the entry that they show.
import { createHash } from 'node:crypto'
import { sql } from 'kysely'
import { PHOTO_LIMIT } from '#wire/api-photos.ts'
import type { PhotoType } from '#wire/api-photos.ts'
import type { Database } from '../../db/connect.ts'
import { refuse } from '../platform/errors.ts'

/** A photo as it arrived. */
export type ArrivedPhoto = {
  entryId: string
  deviceId: string
  type: PhotoType
  bytes: Uint8Array
  now: Date
}

/**
 * Keeps a photo beside an entry of the same device; the same bytes again change nothing. Refuses
 * with 404 `unknown_entry` while the entry has not arrived, with 403 `other_device` when another
 * device wrote it, and with 422 `too_many_photos`.
 */
export async function keepPhoto(
  db: Database,
  { entryId, deviceId, type, bytes, now }: ArrivedPhoto,
): Promise<{ sha256: string; isNew: boolean }> {
  const sha256 = createHash('sha256').update(bytes).digest()
  return db.transaction().execute(async (trx) => {
    await sql`select pg_advisory_xact_lock(hashtextextended(${entryId}, 0))`.execute(trx)
    const entry = await trx
      .selectFrom('entry')
      .select('device_id')
      .where('id', '=', entryId)
      .executeTakeFirst()
    if (entry === undefined) {
      const detail = `the entry ${entryId} has not arrived; send it first, then its photo`
      refuse('unknown_entry', detail, { status: 404 })
    }
    if (entry.device_id !== deviceId) {
      refuse('other_device', 'a photo is sent by the device that wrote its entry', { status: 403 })
    }
    const kept = await trx
      .selectFrom('photo')
      .select('sha256')
      .where('entry_id', '=', entryId)
      .execute()
    const isKept = kept.some((photo) => photo.sha256.equals(sha256))
    if (!isKept && kept.length >= PHOTO_LIMIT) {
      refuse('too_many_photos', `an entry has at most ${PHOTO_LIMIT} photos`)
    }
    if (!isKept) {
      const photo = { entry_id: entryId, sha256, media_type: type, bytes: Buffer.from(bytes) }
      await trx
        .insertInto('photo')
        .values({ ...photo, device_id: deviceId, received_at: now })
        .execute()
    }
    return { sha256: sha256.toString('hex'), isNew: !isKept }
  })
}

/** A photo as it is listed: which entry it shows, and when that was made. */
export type PhotoLine = { entry_id: string; sha256: string; kind: string; occurred_at: Date }

/** What was photographed on a vine: its grafts, skips and take checks, the latest first. */
export async function photosOfVine(
  db: Database,
  rowId: string,
  position: number,
): Promise<PhotoLine[]> {
  const rows = await sql<PhotoLine>`
    select p.entry_id, encode(p.sha256, 'hex') as sha256, e.kind, e.occurred_at
    from photo p join entry e on e.id = p.entry_id
    where p.entry_id in (${entriesOfVine(rowId, position)})
    order by e.occurred_at desc, p.entry_id, p.sha256`.execute(db)
  return rows.rows
}

/** The bytes of one of these photos, or null. */
export async function readPhoto(
  db: Database,
  vine: { rowId: string; position: number },
  sha256: string,
): Promise<{ type: string; bytes: Buffer } | null> {
  const rows = await sql<{ type: string; bytes: Buffer }>`
    select p.media_type as type, p.bytes from photo p
    where p.sha256 = decode(${sha256}, 'hex')
      and p.entry_id in (${entriesOfVine(vine.rowId, vine.position)}) limit 1`.execute(db)
  return rows.rows[0] ?? null
}

const entriesOfVine = (rowId: string, position: number) => sql`
  select entry_id from graft where row_id = ${rowId} and position = ${position}
  union all
  select entry_id from vine_skip where row_id = ${rowId} and position = ${position}
  union all
  select entry_id from take_check where row_id = ${rowId} and position = ${position}`
