// One-time links by which people set their own password; no mail server is needed.
import type { Transaction } from 'kysely'
import type { Database } from '../../db/connect.ts'
import type { Tables } from '../../db/tables.ts'
import { refuse } from '../platform/errors.ts'
import { hashToken, newToken } from '../platform/token.ts'
import { lockAdministrators, readPerson } from './people.ts'
import { hashPassword, passwordProblem } from './passwords.ts'
import { endOtherSessions } from './sessions.ts'

/** How long such a link can be used. */
export const PASSWORD_LINK_MS = 72 * 60 * 60_000

/**
 * A new link for a person with a sign-in name; an earlier one goes void. Returns the token, which
 * is kept nowhere. Refuses with `no_sign_in_name` or `has_left`.
 */
export async function makePasswordLink(
  db: Database,
  personId: string,
  by: { personId: string; now: Date },
): Promise<string> {
  const person = await readPerson(db, personId)
  if (person === null || person.ended_at !== null) refuse('has_left', 'this person has left')
  if (person.sign_in_name === null) {
    refuse('no_sign_in_name', 'give this person a sign-in name first')
  }
  const token = newToken()
  const link = {
    token_hash: hashToken(token),
    made_by: by.personId,
    expires_at: new Date(by.now.getTime() + PASSWORD_LINK_MS),
  }
  await db
    .insertInto('password_link')
    .values({ person_id: personId, ...link })
    .onConflict((conflict) => conflict.column('person_id').doUpdateSet(link))
    .execute()
  return token
}

/** Whose password a link sets. */
export type LinkedPerson = { personId: string; name: string; signInName: string }

/** Reads a link; refuses with `link_void` one that is unknown, used, replaced or too old. */
export async function readPasswordLink(
  db: Database | Transaction<Tables>,
  token: string,
  now: Date,
): Promise<LinkedPerson> {
  const row = await db
    .selectFrom('password_link')
    .innerJoin('person', 'person.person_id', 'password_link.person_id')
    .innerJoin('sign_in', 'sign_in.person_id', 'password_link.person_id')
    .select(['person.person_id', 'name', 'sign_in_name'])
    .where('token_hash', '=', hashToken(token))
    .where('expires_at', '>', now)
    .where('ended_at', 'is', null)
    .executeTakeFirst()
  if (row === undefined) return linkVoid()
  return { personId: row.person_id, name: row.name, signInName: row.sign_in_name }
}

/**
 * Sets the password by a link, once. All sessions of the person end. Refuses with `link_void`,
 * and with `weak_password` at the field `password`.
 */
export async function useLink(
  db: Database,
  token: string,
  given: { password: string; nurseryName: string | null; now: Date },
): Promise<LinkedPerson> {
  const person = await readPasswordLink(db, token, given.now)
  refuseWeak(given.password, [person.name, person.signInName, given.nurseryName ?? ''])
  const passwordHash = await hashPassword(given.password)
  await db.transaction().execute(async (trx) => {
    await lockAdministrators(trx)
    const used = await trx
      .deleteFrom('password_link')
      .where('token_hash', '=', hashToken(token))
      .executeTakeFirst()
    if (used.numDeletedRows === 0n) linkVoid()
    await storePassword(trx, person.personId, passwordHash, given.now)
    await endOtherSessions(trx, person.personId, null)
  })
  return person
}

/** Changes the own password; every other session ends. Refuses with `weak_password`. */
export async function changeOwnPassword(
  db: Database,
  person: { personId: string; sessionId: string | null },
  given: { password: string; about: readonly string[]; now: Date },
): Promise<void> {
  refuseWeak(given.password, given.about)
  const passwordHash = await hashPassword(given.password)
  await db.transaction().execute(async (trx) => {
    await storePassword(trx, person.personId, passwordHash, given.now)
    await trx.deleteFrom('password_link').where('person_id', '=', person.personId).execute()
    await endOtherSessions(trx, person.personId, person.sessionId)
  })
}

/** Refuses a password that is short, common or a known name, at the field `password`. */
export function refuseWeak(password: string, about: readonly string[]): void {
  const message = passwordProblem(password, about)
  if (message === null) return
  refuse('weak_password', message, { fields: [{ field: 'password', message }] })
}

/** Stores a password's hash for a person who has a sign-in name. */
export async function storePassword(
  trx: Transaction<Tables>,
  personId: string,
  passwordHash: string,
  now: Date,
): Promise<void> {
  await trx
    .updateTable('sign_in')
    .set({ password_hash: passwordHash, password_set_at: now })
    .where('person_id', '=', personId)
    .execute()
}

function linkVoid(): never {
  const detail =
    'this link cannot be used: it was used before, replaced or has run out; ask for a new one'
  return refuse('link_void', detail, { status: 404 })
}
