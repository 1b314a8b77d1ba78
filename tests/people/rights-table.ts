// The table of every route and who may use it, from the routes as they are registered.
import type { Hono } from 'hono'
import { rights, roles } from '../../api/people/rights.ts'
import { routeRight, withoutPatterns } from '../../api/people/route-rights.ts'
import type { Env, RoleName } from '../../api/platform/services.ts'

/** Who comes through a door: anybody, a device, a device or reader, or a role by its right. */
export type Door =
  | 'anybody'
  | 'whoever holds the token of the figures'
  | 'whoever holds the link'
  | 'device'
  | 'device or reader'
  | 'right'

/** One route with what it needs. */
export type Route = { method: string; path: string; door: Door }

const outside: Record<string, Door> = {
  'GET /sign-in': 'anybody',
  'POST /sign-in': 'anybody',
  'POST /sign-out': 'anybody',
  'GET /assets/office.css': 'anybody',
  'GET /assets/mark.svg': 'anybody',
  'GET /scanner': 'anybody',
  'GET /scanner/': 'anybody',
  'GET /scanner/:file': 'anybody',
  'GET /T/:code': 'anybody',
  'GET /metrics': 'whoever holds the token of the figures',
  'GET /t/:code': 'anybody',
  'GET /first/:token': 'whoever holds the link',
  'POST /first/:token': 'whoever holds the link',
  'GET /set-password/:token': 'whoever holds the link',
  'POST /set-password/:token': 'whoever holds the link',
  'GET /open/:token': 'whoever holds the link',
  'POST /open/:token': 'whoever holds the link',
  'POST /api/enrol': 'whoever holds the link',
  'POST /api/entries': 'device',
  'POST /api/photos/:entryId': 'device',
  'POST /api/readings': 'device',
  'POST /api/epcis': 'device',
  'GET /api/snapshot': 'device',
  'GET /api/snapshot/blocks/:blockId': 'device',
  'GET /api/device': 'device',
  'GET /api/openapi.json': 'anybody',
  'GET /api/docs': 'anybody',
  'GET /api/docs/swagger-ui.css': 'anybody',
  'GET /api/docs/swagger-ui-bundle.js': 'anybody',
  'GET /api/docs/start-docs.js': 'anybody',
}

/** Every route of the app, each once, in order of its path. */
export function listRoutes(app: Hono<Env>): Route[] {
  const routes = new Map<string, Route>()
  for (const { method, path } of app.routes) {
    if (method === 'ALL') continue
    const name = `${method} ${withoutPatterns(path)}`
    const isApi = path.startsWith('/api/')
    const door = outside[name] ?? (isApi ? 'device or reader' : 'right')
    routes.set(name, { method, path, door })
  }
  return [...routes.values()].sort((a, b) => (a.path < b.path ? -1 : a.path > b.path ? 1 : 0))
}

/** May this role use the route at all? For an auditor: where the thing was opened. */
export function mayUse(route: Route, role: RoleName): 'yes' | 'no' | 'if opened' {
  if (route.door === 'device or reader') {
    return rights['see the record'].some((one) => one === role) ? 'yes' : 'no'
  }
  const row = routeRight(route.method, route.path)
  if (row === null) return role === 'administrator' ? 'yes' : 'no'
  const holders: readonly RoleName[] = rights[row.right]
  if (holders.includes(role)) return 'yes'
  return role === 'auditor' && row.opened !== undefined ? 'if opened' : 'no'
}

/** The whole table as the page docs/rights.md. */
export function rightsPage(app: Hono<Env>): string {
  const routes = listRoutes(app)
  const signedIn = routes.filter(({ door }) => door === 'right' || door === 'device or reader')
  const others = routes.filter(({ door }) => door !== 'right' && door !== 'device or reader')
  const head = ['Route', 'Right', ...roles, 'Password again']
  const rows = signedIn.map((route) => {
    const row = routeRight(route.method, route.path)
    const right = route.door === 'right' ? (row?.right ?? 'none') : 'see the record, or a device'
    const marks = roles.map((role) => mayUse(route, role).replace('no', ''))
    return [`\`${nameOf(route)}\``, right, ...marks, row?.proof === true ? 'yes' : '']
  })
  return [
    '# Who may do what',
    '',
    'Written by `npx tsx tests/people/write-rights.ts` from the routes themselves; ' +
      '`tests/people/rights.test.ts` fails when it is not up to date, and tries every route as ' +
      'every role, without a session, and with a wrong, an ended and an expired one.',
    '',
    '“if opened”: an auditor’s link sees it when the lot, block, vine or recall in the ' +
      'address was opened ' +
      'to it; a block opens its rows and vines. “Password again”: asked for when it was given ' +
      'more than ten minutes ago.',
    '',
    ...table(head, rows),
    '',
    '## Without a session',
    '',
    ...table(
      ['Route', 'Who'],
      others.map((route) => [`\`${nameOf(route)}\``, route.door]),
    ),
    '',
  ].join('\n')
}

const nameOf = ({ method, path }: Route) => `${method} ${withoutPatterns(path)}`

function table(head: readonly string[], rows: readonly string[][]): string[] {
  const line = (cells: readonly string[]) => `| ${cells.join(' | ')} |`
  return [line(head), line(head.map(() => '---')), ...rows.map(line)]
}
