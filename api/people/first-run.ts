// The first start: a one-time link makes the first administrator; there are no default accounts.
import { randomBytes } from 'node:crypto'
import { sql } from 'kysely'
import { z } from 'zod'
import type { Database } from '../../db/connect.ts'
import { newId } from '../platform/clock.ts'
import { refuse } from '../platform/errors.ts'
import { hashToken } from '../platform/token.ts'
import { hasAdministrator, insertPerson, lockAdministrators } from './people.ts'
import { hashPassword } from './passwords.ts'
import { refuseWeak, storePassword } from './password-links.ts'

/** How long the link can be used. */
export const FIRST_LINK_MS = 24 * 60 * 60_000

const tokenBytes = 16
const installationKey = 'first_administrator_link'
const StoredLink = z.strictObject({ tokenHash: z.string(), expiresAt: z.string() })

/**
 * A new link's token while nobody is an administrator, else null. An earlier link goes void, so
 * that only what was printed last counts.
 */
export async function makeFirstLink(db: Database, now: Date): Promise<string | null> {
  if (await hasAdministrator(db)) return null
  const token = randomBytes(tokenBytes).toString('base64url')
  const link = {
    tokenHash: hashToken(token).toString('hex'),
    expiresAt: new Date(now.getTime() + FIRST_LINK_MS).toISOString(),
  }
  const value = JSON.stringify(link)
  await db
    .insertInto('installation')
    .values({ key: installationKey, value })
    .onConflict((conflict) => conflict.column('key').doUpdateSet({ value }))
    .execute()
  return token
}

/** Refuses with `link_void` unless this link may make the first administrator now. */
export async function checkFirstLink(db: Database, token: string, now: Date): Promise<void> {
  const row = await db
    .selectFrom('installation')
    .select('value')
    .where('key', '=', installationKey)
    .executeTakeFirst()
  const link = StoredLink.safeParse(row?.value)
  const fits =
    link.success &&
    link.data.tokenHash === hashToken(token).toString('hex') &&
    Date.parse(link.data.expiresAt) > now.getTime()
  if (!fits || (await hasAdministrator(db))) linkVoid()
}

/**
 * Makes the first administrator; returns the person's id. The link is void afterwards. Refuses
 * with `link_void`, and with `weak_password` at the field `password`.
 */
export async function makeFirstAdministrator(
  db: Database,
  token: string,
  given: { name: string; signInName: string; password: string; now: Date },
): Promise<string> {
  await checkFirstLink(db, token, given.now)
  refuseWeak(given.password, [given.name, given.signInName])
  const passwordHash = await hashPassword(given.password)
  const personId = newId()
  await db.transaction().execute(async (trx) => {
    await lockAdministrators(trx)
    if (await hasAdministrator(trx)) linkVoid()
    const { name, signInName } = given
    await insertPerson(trx, personId, { name, role: 'administrator', signInName })
    await storePassword(trx, personId, passwordHash, given.now)
    await trx
      .updateTable('installation')
      .set({ value: sql`'{}'::jsonb` })
      .where('key', '=', installationKey)
      .execute()
  })
  return personId
}

function linkVoid(): never {
  const detail =
    'this link cannot be used: it was used before, a newer one was printed, or it has run out. ' +
    'Start Canemark again for a new one, if nobody is an administrator yet'
  return refuse('link_void', detail, { status: 404 })
}
