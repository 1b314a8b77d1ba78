// Lifting a hold: one person asks and says why, another agrees, unless policy needs only one.
import { sql } from 'kysely'
import type { Transaction } from 'kysely'
import type { Database } from '../../db/connect.ts'
import type { Tables } from '../../db/tables.ts'
import { recordAtDesk } from '../journal/desk.ts'
import type { Desk } from '../journal/desk.ts'
import { readPolicies } from '../nursery/read.ts'
import { newId } from '../platform/clock.ts'
import { refuse } from '../platform/errors.ts'
import type { RoleName } from '../platform/services.ts'
import { may } from './rights.ts'

/** A request that waits for a second person. */
export type OpenRequest = {
  request_id: string
  hold_id: string
  reason: string
  asked_by: string
  asked_by_name: string
  asked_at: Date
}

/** Requests that wait, the oldest first; of one hold, or of all. */
export async function openRequests(db: Database, holdId?: string): Promise<OpenRequest[]> {
  let query = db
    .selectFrom('release_request')
    .innerJoin('person', 'person.person_id', 'asked_by')
    .select(['request_id', 'hold_id', 'reason', 'asked_by', 'asked_at'])
    .select('person.name as asked_by_name')
    .where('release_request.ended_at', 'is', null)
    .orderBy('asked_at')
  if (holdId !== undefined) query = query.where('hold_id', '=', holdId)
  return query.execute()
}

/**
 * Asks for a hold to be lifted. Where policy needs only one person it is lifted at once, else it
 * waits for a second. Refuses with `no_such_hold` when it does not stand, and with
 * `asked_already` when a request waits.
 */
export async function askRelease(
  db: Database,
  desk: Desk,
  given: { holdId: string; reason: string },
): Promise<'lifted' | 'waiting'> {
  const { holdId, reason } = given
  await refuseUnlessStanding(db, holdId)
  const { policies } = await readPolicies(db, desk.now)
  if (!policies.holdReleaseNeedsTwo.value) {
    const body = { holdId, reason, secondPersonId: null }
    await recordAtDesk(db, desk, [{ kind: 'hold.lifted', body }], async (trx) => {
      await lockHold(trx, holdId)
      await endRequests(trx, holdId, desk.now)
    })
    return 'lifted'
  }
  const made = await db
    .insertInto('release_request')
    .values({
      request_id: newId(),
      hold_id: holdId,
      reason,
      asked_by: desk.personId,
      asked_at: desk.now,
    })
    .onConflict((conflict) => conflict.column('hold_id').where('ended_at', 'is', null).doNothing())
    .executeTakeFirst()
  if (made.numInsertedOrUpdatedRows === 1n) return 'waiting'
  return refuse('asked_already', 'somebody has asked for this already: a second person must agree')
}

/**
 * A second person agrees: the hold is lifted, and the entry names both. Refuses with `same_person`
 * whoever asked, in whatever session; with `no_such_request` when it is answered or withdrawn; with
 * `asker_gone` when who asked may no longer lift holds.
 */
export async function confirmRelease(db: Database, desk: Desk, requestId: string): Promise<void> {
  const request = await readRequest(db, requestId)
  if (request.asked_by === desk.personId) {
    const message = 'you asked for this yourself: a second person must agree'
    refuse('same_person', message, { status: 403 })
  }
  if (request.ended_at !== null || !may(request.role as RoleName, 'lift holds')) {
    refuse('asker_gone', 'who asked may no longer lift holds: ask for it anew')
  }
  await refuseUnlessStanding(db, request.hold_id)
  const body = {
    holdId: request.hold_id,
    reason: request.reason,
    secondPersonId: desk.personId,
  }
  const asker = { ...desk, personId: request.asked_by }
  await recordAtDesk(db, asker, [{ kind: 'hold.lifted', body }], async (trx) => {
    await lockHold(trx, request.hold_id)
    const confirmed = await trx
      .updateTable('release_request')
      .set({ confirmed_by: desk.personId, ended_at: desk.now })
      .where('request_id', '=', requestId)
      .where('ended_at', 'is', null)
      .executeTakeFirst()
    if (confirmed.numUpdatedRows === 0n) noSuchRequest()
  })
}

/** Takes a request back, or refuses it; the hold stands on. */
export async function dropRelease(db: Database, requestId: string, now: Date): Promise<void> {
  const dropped = await db
    .updateTable('release_request')
    .set({ ended_at: now })
    .where('request_id', '=', requestId)
    .where('ended_at', 'is', null)
    .executeTakeFirst()
  if (dropped.numUpdatedRows === 0n) noSuchRequest()
}

async function readRequest(db: Database, requestId: string) {
  const row = await db
    .selectFrom('release_request')
    .innerJoin('person', 'person.person_id', 'asked_by')
    .select(['hold_id', 'reason', 'asked_by', 'person.role', 'person.ended_at'])
    .where('request_id', '=', requestId)
    .where('release_request.ended_at', 'is', null)
    .executeTakeFirst()
  return row ?? noSuchRequest()
}

async function refuseUnlessStanding(
  db: Database | Transaction<Tables>,
  holdId: string,
): Promise<void> {
  const hold = await db
    .selectFrom('standing_hold')
    .select('hold_id')
    .where('hold_id', '=', holdId)
    .executeTakeFirst()
  if (hold !== undefined) return
  refuse('no_such_hold', 'no such hold stands: it was lifted before, or never placed', {
    status: 404,
  })
}

/** Two people at once cannot lift the same hold twice: the second sees it lifted. */
async function lockHold(trx: Transaction<Tables>, holdId: string): Promise<void> {
  await sql`select pg_advisory_xact_lock(hashtextextended(${holdId}, 0))`.execute(trx)
  await refuseUnlessStanding(trx, holdId)
}

async function endRequests(trx: Transaction<Tables>, holdId: string, now: Date): Promise<void> {
  await trx
    .updateTable('release_request')
    .set({ ended_at: now })
    .where('hold_id', '=', holdId)
    .where('ended_at', 'is', null)
    .execute()
}

function noSuchRequest(): never {
  return refuse('no_such_request', 'this request was answered or taken back before', {
    status: 404,
  })
}
