// The cookie that carries a session's token, and the person whom it stands for.
import type { Context } from 'hono'
import { deleteCookie, getCookie, setCookie } from 'hono/cookie'
import { SESSION_MOST_MS, findSession } from '../../people/sessions.ts'
import { isSecure } from '../../platform/request.ts'
import type { CurrentPerson, Env } from '../../platform/services.ts'

/** Browsers take `__Host-` cookies over https only; on plain http the bare name is used. */
const nameFor = (c: Context<Env>) => (isSecure(c) ? '__Host-canemark' : 'canemark')

/** Gives the browser the session's token; no script can read it. */
export function giveCookie(c: Context<Env>, token: string): void {
  setCookie(c, nameFor(c), token, {
    httpOnly: true,
    sameSite: 'Lax',
    path: '/',
    secure: isSecure(c),
    maxAge: SESSION_MOST_MS / 1000,
  })
}

/** Takes the cookie back. */
export function dropCookie(c: Context<Env>): void {
  deleteCookie(c, nameFor(c), { path: '/', secure: isSecure(c) })
}

/** Who asks, by the session's cookie; null when nobody is signed in. */
export async function personOfCookie(c: Context<Env>): Promise<CurrentPerson | null> {
  const token = getCookie(c, nameFor(c))
  if (token === undefined || token === '') return null
  const { db, clock } = c.get('services')
  return findSession(db, token, clock.now())
}
