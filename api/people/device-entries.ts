// Looks at what a device sends before the journal does: its signature, its kinds, its revocation.
import { sql } from 'kysely'
import { EntryId } from '#wire/basics.ts'
import { officeKinds } from '#wire/kinds/devices.ts'
import type { Database } from '../../db/connect.ts'
import type { Received } from '../journal/ingest.ts'
import type { Problem } from '../journal/read-entry.ts'
import { refuse } from '../platform/errors.ts'
import type { KnownDevice } from './devices.ts'
import { isSignedEntry } from './keys.ts'

/** Most entries of one revoked device that wait for the office; more are not kept. */
export const HELD_LIMIT = 20_000

/**
 * Adds a problem to each entry that this device may not write: it is then set aside, not lost.
 * Entries of a revoked device that the journal does not know yet are all held, for the office to
 * judge. Refuses with 403 `revoked_device`, nothing kept, when too many are held already.
 */
export async function inspectEntries(
  db: Database,
  device: KnownDevice,
  received: Received[],
): Promise<Received[]> {
  const inspected = await Promise.all(
    received.map(async (item) => {
      const problem = item.problem ?? (await problemOf(device, item.value))
      return problem === null ? item : { ...item, problem }
    }),
  )
  return device.revokedAt === null ? inspected : holdAll(db, device, inspected)
}

async function problemOf(device: KnownDevice, value: unknown): Promise<Problem | null> {
  const kind = kindOf(value)
  const { writeKinds } = device
  const isField = device.kind !== 'desk'
  const allowed = writeKinds?.includes(kind) ?? !(isField && officeKinds.has(kind))
  // A value without a kind is no entry at all: the journal says better what is wrong with it.
  if (kind !== '' && !allowed) {
    const detail = `this device may not write ${kind}; the office can, at its desk`
    return { code: 'not_allowed', detail, path: 'kind' }
  }
  if (device.publicKey === null) return unwantedSignature(value)
  if (await isSignedEntry(device.publicKey, value)) return null
  const detail = 'the entry does not carry the signature of this device’s key over all else in it'
  return { code: 'bad_signature', detail, path: 'signature' }
}

function unwantedSignature(value: unknown): Problem | null {
  if (typeof value !== 'object' || value === null || !('signature' in value)) return null
  const detail = 'this device has no key that could have signed; send the entry without signature'
  return { code: 'bad_signature', detail, path: 'signature' }
}

async function holdAll(
  db: Database,
  device: KnownDevice,
  received: Received[],
): Promise<Received[]> {
  await refuseFlood(db, device)
  const ids = received.map(({ value }) => idOf(value)).filter((id) => id !== '')
  const known = await sql<{ id: string }>`
    select id from entry where id = any(${ids}::uuid[]) and device_id = ${device.deviceId}
  `.execute(db)
  const recorded = new Set(known.rows.map((row) => row.id))
  const detail = 'it came after the device was revoked; the office judges whether it is true'
  return received.map((item): Received => {
    if (item.problem !== undefined || recorded.has(idOf(item.value))) return item
    return { ...item, problem: { code: 'revoked_device', detail, path: null } }
  })
}

async function refuseFlood(db: Database, device: KnownDevice): Promise<void> {
  const row = await db
    .selectFrom('set_aside')
    .select(({ fn }) => fn.countAll<number>().as('held'))
    .where('device_id', '=', device.deviceId)
    .where('dealt_with_at', 'is', null)
    .executeTakeFirstOrThrow()
  if (row.held < HELD_LIMIT) return
  const detail = `this device was revoked, and ${HELD_LIMIT} of its entries wait for the office`
  refuse('revoked_device', detail, { status: 403 })
}

function kindOf(value: unknown): string {
  if (typeof value !== 'object' || value === null || !('kind' in value)) return ''
  return typeof value.kind === 'string' ? value.kind.slice(0, 60) : ''
}

function idOf(value: unknown): string {
  if (typeof value !== 'object' || value === null || !('id' in value)) return ''
  return EntryId.safeParse(value.id).data ?? ''
}
