// The whole app with real sessions: people of every role, an auditor's link, and a clock to turn.
import { newApp } from '../../api/app.ts'
import { personOfCookie } from '../../api/office/sign-in/session-cookie.ts'
import { openAuditLink, makeAuditLink } from '../../api/people/audit-links.ts'
import type { OpenedThing } from '../../api/people/audit-links.ts'
import { makeFirstAdministrator, makeFirstLink } from '../../api/people/first-run.ts'
import { addPersonWithRole } from '../../api/people/people.ts'
import { beginSession } from '../../api/people/sessions.ts'
import { deskDevice } from '../../api/people/devices.ts'
import { plainDoors } from '../../api/platform/doors.ts'
import type { Doors } from '../../api/platform/doors.ts'
import type { RoleName, Services } from '../../api/platform/services.ts'
import { recordAtDesk } from '../../api/journal/desk.ts'
import type { Draft } from '../../api/journal/desk.ts'
import { freshDatabase } from '../database.ts'

export const password = 'three crows on a wire'
export const start = new Date('2027-02-03T09:00:00Z')
const minuteMs = 60_000

export type Sent = { cookie?: string; fields?: Record<string, string>; headers?: HeadersInit }

/** Builds it; the administrator is made by the first link, as at a first start. */
export async function realApp(changes: Partial<Doors> = {}) {
  const database = await freshDatabase()
  const { db } = database.app
  let now = start
  const clock = { now: () => now }
  const services: Services = { db, clock, deskDeviceId: await deskDevice(db) }
  const app = newApp(services, personOfCookie, plainDoors(changes))
  const first = (await makeFirstLink(db, now)) ?? ''
  const given = { name: 'Ada Quill', signInName: 'ada', password, now }
  const administrator = await makeFirstAdministrator(db, first, given)
  const ids = new Map<RoleName, string>([['administrator', administrator]])
  for (const role of ['office', 'lead hand', 'crew'] as const) {
    const details = { name: `The ${role}`, role, signInName: role.replace(' ', '.') }
    ids.set(role, await addPersonWithRole(db, details))
  }
  const idOf = (role: RoleName) => ids.get(role) ?? ''
  /** A cookie for a session of its own, whose password was given just now. */
  const cookieFor = async (role: Exclude<RoleName, 'auditor'>) =>
    `canemark=${await beginSession(db, { personId: idOf(role) }, 'a test', now)}`
  const auditorCookie = async (scope: OpenedThing[], days = 14) => {
    const expiresAt = new Date(now.getTime() + days * 24 * 60 * minuteMs)
    const link = { auditorName: 'R. Pell', expiresAt, scope }
    const { token } = await makeAuditLink(db, link, { personId: administrator, now })
    return `canemark=${await openAuditLink(db, token, { browser: 'a test', now })}`
  }
  const send = async (method: string, path: string, sent: Sent): Promise<Response> => {
    const headers = new Headers(sent.headers)
    if (sent.cookie !== undefined) headers.set('cookie', sent.cookie)
    if (method !== 'GET' && !headers.has('origin')) headers.set('origin', 'http://localhost')
    if (method === 'GET') return app.request(`http://localhost${path}`, { headers })
    const body = new URLSearchParams(sent.fields ?? {}).toString()
    headers.set('content-type', 'application/x-www-form-urlencoded')
    headers.set('content-length', String(body.length))
    return app.request(`http://localhost${path}`, { method, headers, body })
  }
  return {
    app,
    database,
    services,
    idOf,
    cookieFor,
    auditorCookie,
    get: (path: string, cookie?: string) =>
      send('GET', path, cookie === undefined ? {} : { cookie }),
    post: (path: string, sent: Sent = {}) => send('POST', path, sent),
    record: (drafts: Draft[]) =>
      recordAtDesk(db, { deviceId: services.deskDeviceId, personId: administrator, now }, drafts),
    /** Turns the clock on (or back). */
    later: (minutes: number) => {
      now = new Date(now.getTime() + minutes * minuteMs)
    },
    now: () => now,
    drop: database.drop,
  }
}

export type RealApp = Awaited<ReturnType<typeof realApp>>

/** The session cookie that an answer sets, as a browser sends it back. */
export function cookieOf(response: Response): string {
  return (response.headers.get('set-cookie') ?? '').split(';')[0] ?? ''
}
