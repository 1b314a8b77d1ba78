// The people who work here, with their roles and sign-in names.
import { sql } from 'kysely'
import type { Transaction } from 'kysely'
import type { Database } from '../../db/connect.ts'
import type { Tables } from '../../db/tables.ts'
import { newId } from '../platform/clock.ts'
import { refuse } from '../platform/errors.ts'
import type { RoleName } from '../platform/services.ts'

/** What the office says of a person. */
export type PersonDetails = { name: string; role: RoleName; signInName: string | null }

/** A person as listed. */
export type PersonLine = {
  person_id: string
  name: string
  role: RoleName
  sign_in_name: string | null
  has_password: boolean
  created_at: Date
  ended_at: Date | null
}

/** Everybody who works or worked here; those who left come last. */
export async function listEverybody(db: Database): Promise<PersonLine[]> {
  const rows = await sql<PersonLine>`
    select p.person_id, p.name, p.role, s.sign_in_name, s.password_hash is not null as has_password,
      p.created_at, p.ended_at
    from person p left join sign_in s on s.person_id = p.person_id
    order by p.ended_at is not null, lower(p.name), p.person_id`.execute(db)
  return rows.rows
}

/** One person, or null. */
export async function readPerson(db: Database, personId: string): Promise<PersonLine | null> {
  const people = await listEverybody(db)
  return people.find((person) => person.person_id === personId) ?? null
}

/** What is wrong with a sign-in name, or null. It is kept and compared in lower case. */
export function signInNameProblem(signInName: string): string | null {
  if (/^[a-z0-9][a-z0-9._@-]{1,39}$/.test(signInName)) return null
  return 'take 2 to 40 small letters a to z, digits, or . _ @ - and begin with a letter or digit'
}

/** Adds a person; returns the new id. Refuses with `sign_in_name_taken`. */
export async function addPersonWithRole(db: Database, details: PersonDetails): Promise<string> {
  const personId = newId()
  await db.transaction().execute(async (trx) => {
    await lockAdministrators(trx)
    await insertPerson(trx, personId, details)
  })
  return personId
}

/** The same inside a transaction that does more and holds `lockAdministrators`. */
export async function insertPerson(
  trx: Transaction<Tables>,
  personId: string,
  details: PersonDetails,
): Promise<void> {
  const { name, role, signInName } = details
  await trx.insertInto('person').values({ person_id: personId, name, role }).execute()
  await setSignInName(trx, personId, signInName)
}

/**
 * Changes name, role and sign-in name; without one the person can sign in no more. Refuses to
 * take the last administrator's role away, and a sign-in name that another has. A role counts
 * from the person's next request on.
 */
export async function changePerson(
  db: Database,
  personId: string,
  details: PersonDetails,
): Promise<void> {
  await db.transaction().execute(async (trx) => {
    await lockAdministrators(trx)
    const { name, role, signInName } = details
    await trx.updateTable('person').set({ name, role }).where('person_id', '=', personId).execute()
    await setSignInName(trx, personId, signInName)
    await keepAnAdministrator(trx, 'role')
  })
}

/** Ends a person's time here: every session ends, links go void, what they did keeps their name. */
export async function endPersonsTime(db: Database, personId: string, now: Date): Promise<void> {
  await db.transaction().execute(async (trx) => {
    await lockAdministrators(trx)
    await trx
      .updateTable('person')
      .set({ ended_at: now })
      .where('person_id', '=', personId)
      .where('ended_at', 'is', null)
      .execute()
    await trx.deleteFrom('session').where('person_id', '=', personId).execute()
    await trx.deleteFrom('password_link').where('person_id', '=', personId).execute()
    await keepAnAdministrator(trx, 'ended')
  })
}

/** Takes somebody back who had left; the old password counts again. */
export async function beginPersonsTime(db: Database, personId: string): Promise<void> {
  await db.updateTable('person').set({ ended_at: null }).where('person_id', '=', personId).execute()
}

/** Is there somebody who can sign in and manage people? */
export async function hasAdministrator(db: Database | Transaction<Tables>): Promise<boolean> {
  const row = await db
    .selectFrom('person')
    .innerJoin('sign_in', 'sign_in.person_id', 'person.person_id')
    .select('person.person_id')
    .where('role', '=', 'administrator')
    .where('ended_at', 'is', null)
    .where('password_hash', 'is not', null)
    .limit(1)
    .executeTakeFirst()
  return row !== undefined
}

const administratorLock = 7263005

/** Held by whatever may make or unmake an administrator, one at a time. */
export async function lockAdministrators(trx: Transaction<Tables>): Promise<void> {
  await sql`select pg_advisory_xact_lock(${administratorLock}::bigint)`.execute(trx)
}

async function keepAnAdministrator(trx: Transaction<Tables>, field: string): Promise<void> {
  if (await hasAdministrator(trx)) return
  const message = 'nobody else is an administrator with a password: make another one first'
  refuse('last_administrator', message, { fields: [{ field, message }] })
}

async function setSignInName(
  trx: Transaction<Tables>,
  personId: string,
  signInName: string | null,
): Promise<void> {
  if (signInName === null) {
    await trx.deleteFrom('session').where('person_id', '=', personId).execute()
    await trx.deleteFrom('password_link').where('person_id', '=', personId).execute()
    await trx.deleteFrom('sign_in').where('person_id', '=', personId).execute()
    return
  }
  const taken = await trx
    .selectFrom('sign_in')
    .select('person_id')
    .where('sign_in_name', '=', signInName)
    .where('person_id', '<>', personId)
    .executeTakeFirst()
  if (taken !== undefined) refuseTaken(signInName)
  await trx
    .insertInto('sign_in')
    .values({ person_id: personId, sign_in_name: signInName })
    .onConflict((conflict) =>
      conflict.column('person_id').doUpdateSet({ sign_in_name: signInName }),
    )
    .execute()
}

function refuseTaken(signInName: string): never {
  const message = `${signInName} is somebody else’s sign-in name: choose another`
  return refuse('sign_in_name_taken', message, { fields: [{ field: 'signInName', message }] })
}
