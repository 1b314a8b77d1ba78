// Signing in with a name and a password; a wrong name and a wrong password are told alike.
import type { Database } from '../../db/connect.ts'
import type { Limits } from '../platform/limits.ts'
import { refuse } from '../platform/errors.ts'
import type { CurrentPerson } from '../platform/services.ts'
import { isPassword } from './passwords.ts'
import { beginSession, markProven, removeEndedSessions } from './sessions.ts'

/** What a try to sign in needs to know. */
export type SignInTry = {
  signInName: string
  password: string
  /** From where, as `addressKey` gives it. */
  address: string
  browser: string
  now: Date
}

/**
 * Begins a session; returns its token. Refuses with `wrong_sign_in` whether the name is unknown,
 * has no password yet, belongs to somebody who left, or the password is wrong: with the same words
 * and after the same work. Refuses with `too_many_tries` before any work.
 */
export async function signIn(db: Database, limits: Limits, given: SignInTry): Promise<string> {
  const name = given.signInName.normalize('NFC').trim().toLowerCase()
  const both = `${name} ${given.address}`
  await limits.count('sign-in address', given.address)
  await limits.count('sign-in name and address', both)
  await limits.count('sign-in name', name)
  const row = await db
    .selectFrom('sign_in')
    .innerJoin('person', 'person.person_id', 'sign_in.person_id')
    .select(['sign_in.person_id', 'password_hash', 'ended_at'])
    .where('sign_in_name', '=', name)
    .executeTakeFirst()
  const stored = row === undefined || row.ended_at !== null ? null : row.password_hash
  if (!(await isPassword(stored, given.password)) || row === undefined) return wrongSignIn()
  await limits.forget('sign-in name and address', both)
  await limits.forget('sign-in name', name)
  await removeEndedSessions(db, given.now)
  return beginSession(db, { personId: row.person_id }, given.browser, given.now)
}

/** The password once more, in a session that exists. Refuses like signing in does. */
export async function giveProof(
  db: Database,
  limits: Limits,
  person: CurrentPerson,
  given: { password: string; now: Date },
): Promise<void> {
  await limits.count('proof', person.personId)
  const row = await db
    .selectFrom('sign_in')
    .select('password_hash')
    .where('person_id', '=', person.personId)
    .executeTakeFirst()
  if (!(await isPassword(row?.password_hash ?? null, given.password))) {
    const message = 'this is not your password'
    return refuse('wrong_password', message, {
      status: 403,
      fields: [{ field: PROOF_FIELD, message }],
    })
  }
  await limits.forget('proof', person.personId)
  if (person.sessionId !== undefined) await markProven(db, person.sessionId, given.now)
}

/** The form field in which the password is given once more. */
export const PROOF_FIELD = 'ownPassword'

function wrongSignIn(): never {
  const message = 'this name and password do not fit together; an administrator can help'
  return refuse('wrong_sign_in', message, {
    status: 401,
    fields: [{ field: 'password', message }],
  })
}
