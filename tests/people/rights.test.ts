// Every route as every role: what the table says is what the server does.
import { readFile } from 'node:fs/promises'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { roles } from '../../api/people/rights.ts'
import { routeRight, routeRights, withoutPatterns } from '../../api/people/route-rights.ts'
import { newId } from '../../api/platform/clock.ts'
import { realApp } from './real-app.ts'
import type { RealApp } from './real-app.ts'
import { listRoutes, mayUse, rightsPage } from './rights-table.ts'
import type { Route } from './rights-table.ts'

let real: RealApp
let routes: Route[]
beforeAll(async () => {
  real = await realApp()
  routes = listRoutes(real.app)
})
afterAll(() => real.drop())

/** The route's path with something in each place that fits its pattern. */
function sampleOf({ path }: Route): string {
  return withoutPatterns(path.replace(':kind{source|lot|bath}', 'lot'))
    .replace(':position', '3')
    .replace(':number', '4')
    .replace(':size', '1')
    .replace(':from', '1')
    .replace(':code', '00000000000')
    .replace(':key', 'holdReleaseNeedsTwo')
    .replace(/:[a-zA-Z]+/g, '01a2129f-0000-7000-8000-000000000000')
}

const ask = (route: Route, cookie?: string) =>
  route.method === 'GET'
    ? real.get(sampleOf(route), cookie)
    : real.post(sampleOf(route), cookie === undefined ? {} : { cookie })

/** Was it refused for want of a right? What a handler says for other reasons is something else. */
async function isRefused(response: Response): Promise<boolean> {
  if (response.status !== 403) return false
  const text = await response.text()
  return text.includes('does not open this page') || text.includes('not_allowed')
}

const signedInRoutes = () => routes.filter(({ door }) => door === 'right')
const apiRoutes = () => routes.filter(({ door }) => door === 'device or reader')

describe('the table', () => {
  it('has a row for every route of the office, and no row that fits none', () => {
    const without = signedInRoutes()
      .filter((route) => routeRight(route.method, route.path) === null)
      .map(({ method, path }) => `${method} ${path}`)
    expect(without).toEqual([])
    const used = new Set(signedInRoutes().map((route) => routeRight(route.method, route.path)))
    const idle = routeRights.filter((row) => !used.has(row) && !row.path.endsWith('*'))
    expect(idle.map(({ method, path }) => `${method} ${path}`)).toEqual([])
  })

  it('is what docs/rights.md says (tests/people/write-rights.ts writes it anew)', async () => {
    const page = await readFile(new URL('../../docs/rights.md', import.meta.url), 'utf8')
    expect(page).toBe(rightsPage(real.app))
  })

  it('knows no route that answers to every method', () => {
    // Handlers for all methods would slip past the rights; only middleware is registered so, and
    // the last of the machine API, which answers 404.
    const all = real.app.routes.filter(({ method }) => method === 'ALL').map(({ path }) => path)
    const middleware = [
      '/*',
      '/api/*',
      '/scanner/*',
      '/T/*',
      '/t/*',
      '/:link{first|set-password|open}/:token',
    ]
    expect(new Set(all)).toEqual(new Set(middleware))
  })
})

describe('every route', () => {
  it.each(roles)('answers the role %s exactly as the table says', async (role) => {
    const wrong: string[] = []
    for (const route of [...signedInRoutes(), ...apiRoutes()]) {
      const cookie =
        role === 'auditor'
          ? await real.auditorCookie([{ kind: 'lot', lotId: newId() }])
          : await real.cookieFor(role)
      const refused = await isRefused(await ask(route, cookie))
      // Nothing of what the sample addresses name was opened to this auditor.
      const expected = mayUse(route, role) !== 'yes'
      if (refused !== expected) wrong.push(`${route.method} ${route.path}: refused ${refused}`)
    }
    expect(wrong).toEqual([])
  })

  it('is closed without a session, and with a wrong, ended, expired or forged one', async () => {
    const ended = await real.cookieFor('administrator')
    await real.post('/sign-out', { cookie: ended })
    const idle = await real.cookieFor('administrator')
    real.later(12 * 60 + 1)
    const cookies = [
      undefined,
      `canemark=${'A'.repeat(43)}`,
      'canemark=',
      "canemark=' or '1'='1",
      ended,
      idle,
      // A name that browsers keep for https is not read on plain http.
      (await real.cookieFor('administrator')).replace('canemark', '__Host-canemark'),
    ]
    const open: string[] = []
    for (const cookie of cookies) {
      for (const route of signedInRoutes()) {
        const response = await ask(route, cookie)
        const { status } = response
        const isClosed =
          route.method === 'GET'
            ? status === 303 && (response.headers.get('location') ?? '').startsWith('/sign-in')
            : status === 401 || status === 303
        const toSignIn = (response.headers.get('location') ?? '/sign-in').startsWith('/sign-in')
        if (!isClosed || !toSignIn) open.push(`${route.method} ${route.path}: ${status}`)
      }
      for (const route of apiRoutes()) {
        const { status } = await ask(route, cookie)
        if (status !== 401) open.push(`${route.method} ${route.path}: ${status}`)
      }
    }
    expect(open).toEqual([])
    real.later(-12 * 60 - 1)
  })

  it('that asks for the password again keeps what was typed meanwhile', async () => {
    const cookie = await real.cookieFor('administrator')
    real.later(10.1)
    const proven = signedInRoutes().filter(
      (route) => routeRight(route.method, route.path)?.proof === true,
    )
    expect(proven.length).toBeGreaterThan(8)
    for (const route of proven) {
      const fields = { reason: 'a "reason" <with> signs' }
      const response = await real.post(sampleOf(route), { cookie, fields })
      const page = await response.text()
      expect([route.path, response.status]).toEqual([route.path, 403])
      expect(page).toContain('Your password once more')
      expect(page).toContain('value="a &quot;reason&quot; &lt;with&gt; signs"')
    }
    real.later(-10.1)
  })

  it('of the machine API that is for devices takes no person’s session', async () => {
    const cookie = await real.cookieFor('administrator')
    for (const route of routes.filter(({ door }) => door === 'device')) {
      expect([route.path, (await ask(route, cookie)).status]).toEqual([route.path, 401])
    }
  })
})
