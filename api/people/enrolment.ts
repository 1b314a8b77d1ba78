// Bringing a phone in: a code that lives ten minutes, one key for it, and the office compares.
import { createHash, randomBytes } from 'node:crypto'
import { sql } from 'kysely'
import { base32, ENROL_CODE_LENGTH, plainEnrolCode } from '#wire/api-enrol.ts'
import type { Database } from '../../db/connect.ts'
import { newId } from '../platform/clock.ts'
import { refuse } from '../platform/errors.ts'

/** How long a code can be used. */
export const ENROL_CODE_MS = 10 * 60_000
/** Wrong codes that any open code stands before it goes void. */
export const WRONG_CODE_LIMIT = 20

/**
 * A new code for one device; returns it in plain, which is kept nowhere, and the enrolment's id.
 */
export async function beginEnrolment(
  db: Database,
  given: { deviceName: string; madeBy: string; now: Date },
): Promise<{ enrolmentId: string; code: string }> {
  const code = base32(randomBytes(ENROL_CODE_LENGTH), ENROL_CODE_LENGTH)
  const enrolmentId = newId()
  await db
    .insertInto('enrolment')
    .values({
      enrolment_id: enrolmentId,
      code_hash: hashCode(code),
      device_name: given.deviceName,
      made_by: given.madeBy,
      expires_at: new Date(given.now.getTime() + ENROL_CODE_MS),
    })
    .execute()
  return { enrolmentId, code }
}

/**
 * Uses a code, once: makes a device with this key, which waits for the office. Returns its id, also
 * when the same code comes again with the same key, for the answer may have been lost.
 * Refuses with `wrong_code` a code that is unknown, used or too old, and counts the try against
 * every open code; with `key_known` a key that was brought in before.
 */
export async function useEnrolCode(
  db: Database,
  given: { code: string; publicKey: Buffer; now: Date },
): Promise<string> {
  const { publicKey, now } = given
  const codeHash = hashCode(plainEnrolCode(given.code))
  const deviceId = newId()
  const used = await db.transaction().execute(async (trx) => {
    const open = await trx
      .selectFrom('enrolment')
      .select(['enrolment_id', 'device_name'])
      .where('code_hash', '=', codeHash)
      .where('device_id', 'is', null)
      .where('ended_at', 'is', null)
      .where('expires_at', '>', now)
      .forUpdate()
      .executeTakeFirst()
    if (open === undefined) return null
    const twin = await trx
      .selectFrom('device')
      .select('device_id')
      .where('public_key', '=', publicKey)
      .executeTakeFirst()
    if (twin !== undefined) {
      refuse('key_known', 'this key was brought in before; make a new one on the phone')
    }
    await trx
      .insertInto('device')
      .values({
        device_id: deviceId,
        name: open.device_name,
        kind: 'phone',
        public_key: publicKey,
      })
      .execute()
    await trx
      .updateTable('enrolment')
      .set({ device_id: deviceId })
      .where('enrolment_id', '=', open.enrolment_id)
      .execute()
    return deviceId
  })
  const device = used ?? (await usedBefore(db, codeHash, given))
  if (device !== null) return device
  await countWrongCode(db, now)
  const detail = 'this code is not valid, or no longer: ask the office to show a new one'
  return refuse('wrong_code', detail, { status: 403 })
}

/** The device that this very key became under this code, as long as the code would live. */
async function usedBefore(
  db: Database,
  codeHash: Buffer,
  { publicKey, now }: { publicKey: Buffer; now: Date },
): Promise<string | null> {
  const row = await db
    .selectFrom('enrolment')
    .innerJoin('device', 'device.device_id', 'enrolment.device_id')
    .select('device.device_id')
    .where('code_hash', '=', codeHash)
    .where('device.public_key', '=', publicKey)
    .where('expires_at', '>', now)
    .executeTakeFirst()
  return row?.device_id ?? null
}

async function countWrongCode(db: Database, now: Date): Promise<void> {
  await sql`
    update enrolment set wrong_codes = wrong_codes + 1,
      ended_at = case when wrong_codes + 1 >= ${WRONG_CODE_LIMIT} then ${now}::timestamptz end
    where device_id is null and ended_at is null and expires_at > ${now}`.execute(db)
}

/** How an enrolment stands, for the page that the office watches. */
export type EnrolmentState =
  | { state: 'open'; deviceName: string; expiresAt: Date; wrongCodes: number }
  | { state: 'void'; deviceName: string; wrongCodes: number }
  | { state: 'used'; deviceName: string; deviceId: string }

/** Reads it; null when there is none of this id. */
export async function readEnrolment(
  db: Database,
  enrolmentId: string,
  now: Date,
): Promise<EnrolmentState | null> {
  const row = await db
    .selectFrom('enrolment')
    .select(['device_name', 'expires_at', 'wrong_codes', 'device_id', 'ended_at'])
    .where('enrolment_id', '=', enrolmentId)
    .executeTakeFirst()
  if (row === undefined) return null
  const deviceName = row.device_name
  if (row.device_id !== null) return { state: 'used', deviceName, deviceId: row.device_id }
  const isOpen = row.ended_at === null && row.expires_at > now
  if (!isOpen) return { state: 'void', deviceName, wrongCodes: row.wrong_codes }
  return { state: 'open', deviceName, expiresAt: row.expires_at, wrongCodes: row.wrong_codes }
}

const hashCode = (code: string) => createHash('sha256').update(`enrol ${code}`, 'utf8').digest()
