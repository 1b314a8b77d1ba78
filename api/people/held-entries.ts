// Entries that came from a device after it was revoked: held until the office judges each.
import { sql } from 'kysely'
import type { Transaction } from 'kysely'
import type { Database } from '../../db/connect.ts'
import type { Tables } from '../../db/tables.ts'
import { EntryId } from '#wire/basics.ts'
import { recordAtDesk } from '../journal/desk.ts'
import type { Desk } from '../journal/desk.ts'
import { ingestReceived } from '../journal/ingest.ts'
import { refuse } from '../platform/errors.ts'
import { findDevice } from './devices.ts'
import { isSignedEntry } from './keys.ts'

/** Most held entries shown and judged at a time. */
export const HELD_PAGE = 200

/** One held entry, as far as it can be read. */
export type HeldLine = {
  setAsideId: number
  receivedAt: Date
  entryId: string | null
  kind: string
  occurredAt: string
  personId: string | null
  /** Does it carry the signature of the device's own key? null where the device had none. */
  signed: boolean | null
  raw: string
}

/** What waits for judgement from one device, in the order in which it came. */
export async function listHeld(db: Database, deviceId: string): Promise<HeldLine[]> {
  const device = await findDevice(db, { deviceId })
  const rows = await heldQuery(db, deviceId).orderBy('set_aside_id').limit(HELD_PAGE).execute()
  return Promise.all(
    rows.map(async (row) => {
      const raw = row.raw.toString('utf8')
      const value = readJson(raw)
      const key = device?.publicKey ?? null
      return {
        setAsideId: row.set_aside_id,
        receivedAt: row.received_at,
        entryId: EntryId.safeParse(value.id).data ?? null,
        kind: textOf(value.kind),
        occurredAt: textOf(value.occurredAt),
        personId: textOf(value.person) || null,
        signed: key === null ? null : await isSignedEntry(key, value),
        raw,
      }
    }),
  )
}

/** What became of one held entry that was accepted. */
export type Accepted = { recorded: number; unreadable: string[] }

/**
 * Takes held entries into the journal as their device wrote them, and records that this person
 * accepted each, and why. What cannot be read even so stays held and is told. Entries may be
 * accepted again after a failure half way: nothing is recorded twice.
 */
export async function acceptHeld(
  db: Database,
  desk: Desk,
  given: { deviceId: string; setAsideIds: readonly number[]; reason: string },
): Promise<Accepted> {
  const { deviceId, reason } = given
  const rows = await chosen(db, deviceId, given.setAsideIds)
  const received = rows.map((row) => {
    const raw = row.raw.toString('utf8')
    return { value: readJson(raw), raw }
  })
  const results = await ingestReceived(db, deviceId, received)
  const accepted: { setAsideId: number; entryId: string }[] = []
  const unreadable: string[] = []
  for (const [nr, result] of results.entries()) {
    const setAsideId = rows[nr]?.set_aside_id
    if (result.result === 'set aside') unreadable.push(result.problem.detail)
    else if (setAsideId !== undefined) accepted.push({ setAsideId, entryId: result.id })
  }
  if (accepted.length === 0) return { recorded: 0, unreadable }
  const drafts = accepted.map(({ entryId }) => {
    return { kind: 'entry.accepted', body: { entryId, deviceId, reason } } as const
  })
  const ids = accepted.map(({ setAsideId }) => setAsideId)
  await recordAtDesk(db, desk, drafts, (trx) => dealWith(trx, ids, desk, `accepted: ${reason}`))
  return { recorded: accepted.length, unreadable }
}

/** Leaves held entries out of the journal for good, with the reason; they are kept as they came. */
export async function leaveHeld(
  db: Database,
  desk: Desk,
  given: { deviceId: string; setAsideIds: readonly number[]; reason: string },
): Promise<number> {
  const rows = await chosen(db, given.deviceId, given.setAsideIds)
  const ids = rows.map((row) => row.set_aside_id)
  await db.transaction().execute((trx) => dealWith(trx, ids, desk, `left out: ${given.reason}`))
  return ids.length
}

async function chosen(db: Database, deviceId: string, ids: readonly number[]) {
  const rows = await heldQuery(db, deviceId)
    .where('set_aside_id', '=', sql<number>`any(${[...ids]}::bigint[])`)
    .orderBy('set_aside_id')
    .execute()
  if (rows.length > 0) return rows
  return refuse('nothing_chosen', 'none of these entries is held any more: choose from the list')
}

function heldQuery(db: Database, deviceId: string) {
  return db
    .selectFrom('set_aside')
    .select(['set_aside_id', 'received_at', 'raw'])
    .where('device_id', '=', deviceId)
    .where('problem_code', '=', 'revoked_device')
    .where('dealt_with_at', 'is', null)
}

async function dealWith(
  trx: Transaction<Tables>,
  ids: number[],
  desk: Desk,
  note: string,
): Promise<void> {
  await trx
    .updateTable('set_aside')
    .set({ dealt_with_at: desk.now, dealt_with_by: desk.personId, dealt_with_note: note })
    .where('set_aside_id', '=', sql<number>`any(${ids}::bigint[])`)
    .where('dealt_with_at', 'is', null)
    .execute()
}

/** What was held was read as JSON before; what is no object has no parts to show. */
function readJson(raw: string): Record<string, unknown> {
  const value: unknown = JSON.parse(raw)
  return typeof value === 'object' && value !== null ? { ...value } : {}
}

const textOf = (value: unknown) => (typeof value === 'string' ? value.slice(0, 60) : '')
