// Devices: who may write as themselves, until they are revoked.
import { sql } from 'kysely'
import type { Database } from '../../db/connect.ts'
import type { EntryKind } from '#wire/entry.ts'
import { recordAtDesk } from '../journal/desk.ts'
import type { Desk } from '../journal/desk.ts'
import { newId } from '../platform/clock.ts'
import { refuse } from '../platform/errors.ts'
import { hashToken, newToken } from '../platform/token.ts'

export type DeviceKind = 'desk' | 'phone' | 'machine'

/** A device as a request finds it. */
export type KnownDevice = {
  deviceId: string
  name: string
  kind: DeviceKind
  /** The raw key of a phone; a machine has none and shows a token instead. */
  publicKey: Buffer | null
  confirmedAt: Date | null
  revokedAt: Date | null
  lastNumber: number
  mayRead: boolean
  /** Kinds of entry it may write; null: every kind but those of the office. */
  writeKinds: string[] | null
}

/** A device as listed. */
export type DeviceLine = {
  device_id: string
  name: string
  kind: DeviceKind
  public_key: Buffer | null
  created_at: Date
  confirmed_at: Date | null
  revoked_at: Date | null
  last_seen_at: Date | null
  may_read: boolean
  write_kinds: string[] | null
  held: number
}

/** All devices; those in use first. `held` counts entries that wait for the office's judgement. */
export async function listDevices(db: Database): Promise<DeviceLine[]> {
  const rows = await sql<DeviceLine>`
    select d.device_id, d.name, d.kind, d.public_key, d.created_at, d.confirmed_at, d.revoked_at,
      d.last_seen_at, d.may_read, d.write_kinds,
      (select count(*) from set_aside a where a.device_id = d.device_id
        and a.problem_code = 'revoked_device' and a.dealt_with_at is null) as held
    from device d
    order by d.revoked_at is not null, lower(d.name), d.device_id`.execute(db)
  return rows.rows
}

/** One device, or null. */
export async function readDevice(db: Database, deviceId: string): Promise<DeviceLine | null> {
  const devices = await listDevices(db)
  return devices.find((device) => device.device_id === deviceId) ?? null
}

/** The device of this id, or the one that holds this token; null when there is none. */
export async function findDevice(
  db: Database,
  by: { deviceId: string } | { token: string },
): Promise<KnownDevice | null> {
  const row = await db
    .selectFrom('device')
    .select(['device_id', 'name', 'kind', 'public_key', 'confirmed_at', 'revoked_at'])
    .select(['last_number', 'may_read', 'write_kinds'])
    .where((where) =>
      'token' in by
        ? where('token_hash', '=', hashToken(by.token))
        : where('device_id', '=', by.deviceId),
    )
    .executeTakeFirst()
  if (row === undefined) return null
  return {
    deviceId: row.device_id,
    name: row.name,
    kind: row.kind as DeviceKind,
    publicKey: row.public_key,
    confirmedAt: row.confirmed_at,
    revokedAt: row.revoked_at,
    lastNumber: row.last_number,
    mayRead: row.may_read,
    writeKinds: row.write_kinds,
  }
}

/** May it write and read now? A phone only after the office compared its key. */
export function deviceState(device: KnownDevice): 'waiting' | 'active' | 'revoked' {
  if (device.revokedAt !== null) return 'revoked'
  return device.kind === 'phone' && device.confirmedAt === null ? 'waiting' : 'active'
}

/**
 * Lets a phone write, after the office compared the fingerprint, and records its key in the
 * journal. Refuses with `not_waiting` when it is in use already, or revoked.
 */
export async function confirmDevice(db: Database, desk: Desk, deviceId: string): Promise<void> {
  const device = await readDevice(db, deviceId)
  const key = device?.public_key ?? null
  if (key === null) refuse('not_waiting', 'this device has no key that could be compared')
  const body = { deviceId, publicKey: key.toString('base64url') }
  await recordAtDesk(db, desk, [{ kind: 'device.enrolled', body }], async (trx) => {
    const confirmed = await trx
      .updateTable('device')
      .set({ confirmed_at: desk.now })
      .where('device_id', '=', deviceId)
      .where('confirmed_at', 'is', null)
      .where('revoked_at', 'is', null)
      .executeTakeFirst()
    if (confirmed.numUpdatedRows === 0n) {
      refuse('not_waiting', 'this device is in use already, or was revoked: nothing was changed')
    }
  })
}

/**
 * Revokes a device from this moment on. What it sends later is held for the office. Refuses with
 * `revoked_already`, and with `is_desk` for the desk that the office itself writes as.
 */
export async function revokeDevice(
  db: Database,
  desk: Desk,
  deviceId: string,
  reason: string,
): Promise<void> {
  if (deviceId === desk.deviceId) {
    refuse('is_desk', 'the office itself writes as this desk: it cannot be revoked')
  }
  const draft = { kind: 'device.revoked', body: { deviceId, reason } } as const
  await recordAtDesk(db, desk, [draft], async (trx) => {
    const revoked = await trx
      .updateTable('device')
      .set({ revoked_at: desk.now })
      .where('device_id', '=', deviceId)
      .where('revoked_at', 'is', null)
      .executeTakeFirst()
    if (revoked.numUpdatedRows === 0n) {
      refuse('revoked_already', 'this device was revoked before: nothing was changed')
    }
  })
}

/**
 * Makes a machine (a logger, a script, a copy elsewhere) that shows a token instead of a key;
 * returns the token, which is kept nowhere. `writeKinds` are the only kinds it may write.
 */
export async function makeMachine(
  db: Database,
  desk: Desk,
  machine: { name: string; writeKinds: EntryKind[]; mayRead: boolean },
): Promise<{ deviceId: string; token: string }> {
  const deviceId = newId()
  const token = newToken()
  const draft = { kind: 'device.enrolled', body: { deviceId, publicKey: null } } as const
  await recordAtDesk(db, desk, [draft], async (trx) => {
    await trx
      .insertInto('device')
      .values({
        device_id: deviceId,
        name: machine.name,
        kind: 'machine',
        token_hash: hashToken(token),
        confirmed_at: desk.now,
        may_read: machine.mayRead,
        write_kinds: machine.writeKinds,
      })
      .execute()
  })
  return { deviceId, token }
}

/** The id of the desk that the office writes as; made at the first start. */
export async function deskDevice(db: Database): Promise<string> {
  const key = 'desk_device'
  const deviceId = newId()
  return db.transaction().execute(async (trx) => {
    const made = await trx
      .insertInto('installation')
      .values({ key, value: JSON.stringify({ deviceId }) })
      .onConflict((conflict) => conflict.column('key').doNothing())
      .executeTakeFirst()
    if (made.numInsertedOrUpdatedRows === 1n) {
      const desk = { device_id: deviceId, name: 'Office desk', kind: 'desk' }
      await trx.insertInto('device').values(desk).execute()
      return deviceId
    }
    const row = await sql<{ device_id: string }>`
      select value ->> 'deviceId' as device_id from installation where key = ${key}`.execute(trx)
    const known = row.rows[0]
    if (known === undefined) throw new Error('the desk is written down and yet not there')
    return known.device_id
  })
}
