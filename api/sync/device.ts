// Who asks the machine API: an enrolled device by its token, or a person signed in to the office.
import { createMiddleware } from 'hono/factory'
import type { Context } from 'hono'
import type { Database } from '../../db/connect.ts'
import { problemResponse } from '../platform/problem.ts'
import type { CurrentPerson, Env, RoleName } from '../platform/services.ts'
import { bearerToken, hashToken } from '../platform/token.ts'

/** The enrolled device that a request comes from. */
export type CurrentDevice = { deviceId: string; name: string }

/** The machine API's view of a request. */
export type ApiEnv = { Variables: Env['Variables'] & { device: CurrentDevice } }

/** Says which person is signed in, from the request alone. */
export type AuthenticatePerson = (c: Context<Env>) => Promise<CurrentPerson | null>

/** Roles that may read everything here; an auditor's link sees only its dossier (invariant 11). */
const readingRoles: ReadonlySet<RoleName> = new Set(['administrator', 'office', 'lead hand'])

/** Lets an enrolled device through, and nobody else. */
export const onlyDevice = createMiddleware<ApiEnv>(async function onlyDevice(c, next) {
  const device = await deviceOf(c)
  if (device === null) return unknownDevice(c)
  c.set('device', device)
  await next()
})

/** Lets readers through; made by `readersOnly`. */
export type Readers = ReturnType<typeof readersOnly>

/** Lets an enrolled device through, and a person whose role may read everything. */
export function readersOnly(authenticate: AuthenticatePerson) {
  return createMiddleware<ApiEnv>(async function readersOnly(c, next) {
    if (c.req.header('authorization') !== undefined) {
      const device = await deviceOf(c)
      if (device === null) return unknownDevice(c)
      c.set('device', device)
      return next()
    }
    const person = await authenticate(c as Context)
    if (person === null) return unknownDevice(c)
    if (!readingRoles.has(person.role)) {
      const detail = `the role ${person.role} may not read this; ask the office`
      return problemResponse(c, 403, 'not_allowed', detail)
    }
    c.set('person', person)
    await next()
  })
}

async function deviceOf(c: Context<ApiEnv>): Promise<CurrentDevice | null> {
  const token = bearerToken(c.req.header('authorization'))
  return token === null ? null : findDevice(c.get('services').db, token)
}

/** The device that holds `token`, or null when none does or it was revoked. */
async function findDevice(db: Database, token: string): Promise<CurrentDevice | null> {
  const row = await db
    .selectFrom('device')
    .select(['device_id', 'name'])
    .where('token_hash', '=', hashToken(token))
    .where('revoked_at', 'is', null)
    .executeTakeFirst()
  return row === undefined ? null : { deviceId: row.device_id, name: row.name }
}

function unknownDevice(c: Context<ApiEnv>): Response {
  c.header('www-authenticate', 'Bearer realm="canemark"')
  const detail =
    'no enrolled device holds this token, or the device was revoked; ' +
    'send "Authorization: Bearer TOKEN", or have the office enrol the device again'
  return problemResponse(c, 401, 'unknown_device', detail)
}
