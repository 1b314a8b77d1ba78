// Stands before every office page: who is it, may they, and is their password fresh enough.
import type { Context, Next } from 'hono'
import { createMiddleware } from 'hono/factory'
import { matchedRoutes } from 'hono/route'
import { isOpened } from '../../people/audit-links.ts'
import { may } from '../../people/rights.ts'
import { routeRight } from '../../people/route-rights.ts'
import type { RouteRight } from '../../people/route-rights.ts'
import { findSession, isProven } from '../../people/sessions.ts'
import { giveProof, PROOF_FIELD, signIn } from '../../people/sign-in.ts'
import { Refusal, refuse } from '../../platform/errors.ts'
import { addressKey } from '../../platform/limits.ts'
import { clientAddress, isLoopback, isSecure } from '../../platform/request.ts'
import type { CurrentPerson, Env } from '../../platform/services.ts'
import { freshForm, readForm } from '../form.ts'
import type { FormReader, FormState } from '../form.ts'
import { show } from '../form-page.tsx'
import { CARRIED_NAME_FIELD, ProofPage, SignedOutPage } from './carried-form.tsx'
import { giveCookie } from './session-cookie.ts'

/** Says who is asking, from the request alone; null when nobody is signed in. */
export type Authenticate = (c: Context<Env>) => Promise<CurrentPerson | null>

/** Largest form that is carried over a sign-in, in bytes. */
const CARRY_BYTE_LIMIT = 256 * 1024

/** Lets nobody in who is not signed in; what they were about to save is not lost. */
export function signedIn(authenticate: Authenticate) {
  return createMiddleware<Env>(async function signedIn(c, next) {
    c.header('cache-control', 'no-store')
    const person = await authenticate(c)
    if (person !== null) {
      c.set('person', person)
      return next()
    }
    if (c.req.method !== 'GET') return signInToSave(c, next)
    const target = c.req.url.replace(/^[a-z]+:\/\/[^/]*/i, '')
    const asked = target === '/' ? '' : `?next=${encodeURIComponent(target)}`
    return c.redirect(`/sign-in${asked}`, 303)
  })
}

/** Lets nobody further than their role goes, and an auditor only to what was opened. */
export const withRight = createMiddleware<Env>(async function withRight(c, next) {
  // Handlers come after the middleware, which is registered for all methods.
  const route = matchedRoutes(c).find(({ method }) => method !== 'ALL')
  if (route === undefined) return refuseNothingHere()
  const row = routeRight(route.method, route.path)
  if (!(await isAllowed(c, row))) {
    const { role } = c.get('person')
    const detail = `the role ${role} does not open this page; ask an administrator`
    refuse('not_allowed', detail, { status: 403 })
  }
  if (row?.proof === true) return withProof(c, next)
  return next()
})

async function isAllowed(c: Context<Env>, row: RouteRight | null): Promise<boolean> {
  const { role, auditLinkId } = c.get('person')
  if (row === null) return role === 'administrator'
  if (role !== 'auditor') return may(role, row.right)
  if (may(role, row.right)) return true
  if (auditLinkId === undefined || row.opened === undefined) return false
  // The parameters are those of the handler's own pattern, which this middleware does not have.
  const parameters = parametersOf(row.path, c.req.path)
  const thing = row.opened(
    (name) => parameters.get(name) ?? '',
    (name) => c.req.query(name) ?? '',
  )
  return thing !== null && isOpened(c.get('services').db, auditLinkId, thing)
}

/** The parameters of a path by a pattern like `/lots/:lotId/*`. */
function parametersOf(pattern: string, path: string): Map<string, string> {
  const values = path.split('/')
  const pairs = pattern.split('/').flatMap((part, nr): [string, string][] => {
    return part.startsWith(':') ? [[part.slice(1), values[nr] ?? '']] : []
  })
  return new Map(pairs)
}

async function withProof(c: Context<Env>, next: Next): Promise<Response | void> {
  const person = c.get('person')
  const { db, clock } = c.get('services')
  if (isProven(person, clock.now())) return next()
  const sent = await readForm(c)
  const password = sent.values[PROOF_FIELD]?.[0]
  if (password === undefined) {
    return show(c, <ProofPage c={c} sent={sent} form={freshForm()} />, 403)
  }
  try {
    await giveProof(db, c.get('doors').limits, person, { password, now: clock.now() })
  } catch (error) {
    const { form, status } = refusedForm(c, error, sent)
    return show(c, <ProofPage c={c} sent={sent} form={form} />, status)
  }
  return next()
}

async function signInToSave(c: Context<Env>, next: Next): Promise<Response | void> {
  const length = Number(c.req.header('content-length') ?? Number.POSITIVE_INFINITY)
  if (!(length <= CARRY_BYTE_LIMIT)) return c.redirect('/sign-in', 303)
  const sent = await readForm(c)
  if (Object.keys(sent.files).length > 0) return c.redirect('/sign-in', 303)
  const signInName = sent.values[CARRIED_NAME_FIELD]?.[0]
  const password = sent.values[PROOF_FIELD]?.[0]
  if (signInName === undefined || password === undefined) {
    return show(c, <SignedOutPage c={c} sent={sent} form={freshForm()} />, 401)
  }
  try {
    c.set('person', await signInHere(c, signInName, password))
  } catch (error) {
    const { form, status } = refusedForm(c, error, sent)
    return show(c, <SignedOutPage c={c} sent={sent} form={form} />, status)
  }
  return next()
}

/** Signs in and gives the browser its cookie. */
export async function signInHere(
  c: Context<Env>,
  signInName: string,
  password: string,
): Promise<CurrentPerson> {
  const { db, clock } = c.get('services')
  refuseOpenNetwork(c)
  const now = clock.now()
  const address = addressKey(clientAddress(c))
  const browser = c.req.header('user-agent') ?? ''
  const given = { signInName, password, address, browser, now }
  const token = await signIn(db, c.get('doors').limits, given)
  giveCookie(c, token)
  const person = await findSession(db, token, now)
  return person ?? refuse('wrong_sign_in', 'the session ended at once; try again', { status: 401 })
}

/** Refuses to take a password over plain http from another machine, where anybody could read it. */
export function refuseOpenNetwork(c: Context<Env>): void {
  if (isSecure(c) || isLoopback(c)) return
  const detail =
    'This page came over plain http from another machine, where others can read passwords. Open ' +
    'it through https (docs/operating.md says how), or on the server itself at http://127.0.0.1'
  refuse('plain_http', detail, { status: 403 })
}

function refusedForm(c: Context<Env>, error: unknown, sent: FormReader) {
  if (!(error instanceof Refusal)) throw error
  if (error.retryAfterSeconds !== null) c.header('retry-after', String(error.retryAfterSeconds))
  const form: FormState = {
    values: { [CARRIED_NAME_FIELD]: sent.values[CARRIED_NAME_FIELD] ?? [] },
    errors: { [PROOF_FIELD]: error.message },
    general: error.message,
  }
  return { form, status: error.status }
}

function refuseNothingHere(): never {
  return refuse('not_found', 'there is nothing at this address', { status: 404 })
}
