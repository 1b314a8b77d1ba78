// Figures for a monitor, in the OpenMetrics text that its program scrapes; behind a token.
import { createHash, timingSafeEqual } from 'node:crypto'
import { createMiddleware } from 'hono/factory'
import type { Context } from 'hono'
import { Counter, Gauge, Histogram, Registry, collectDefaultMetrics } from 'prom-client'
import type { Database } from '../../db/connect.ts'
import { countOpenFindings } from '../journal/open-findings.ts'
import { countAside } from '../journal/read.ts'
import { problemResponse } from './problem.ts'
import { routeOf } from './request.ts'
import type { Env } from './services.ts'
import { bearerToken } from './token.ts'

/** Counts what this process does; `token` opens the figures, null keeps them shut. */
export type Metrics = {
  registry: Registry
  token: string | null
  seconds: Histogram<'method' | 'route' | 'status'>
  refusals: Counter<'code'>
}

/** New counters; `db` is asked for the journal's figures at each scrape. */
export function newMetrics(db: Database, token: string | null): Metrics {
  const registry = new Registry()
  collectDefaultMetrics({ register: registry, prefix: 'canemark_' })
  const seconds = new Histogram({
    name: 'canemark_request_seconds',
    help: 'Time until the answer, by route and status',
    labelNames: ['method', 'route', 'status'],
    buckets: [0.01, 0.03, 0.1, 0.3, 1, 3, 10],
    registers: [registry],
  })
  const refusals = new Counter({
    name: 'canemark_refusals_total',
    help: 'Requests refused, by code',
    labelNames: ['code'],
    registers: [registry],
  })
  const asked = {
    entries: ['Entries in the journal', () => countEntries(db)],
    set_aside: ['Values set aside that nobody has dealt with', () => countAside(db)],
    findings_open: ['Findings that nobody has answered', () => countOpenFindings(db)],
  } as const
  for (const [name, [help, count]] of Object.entries(asked)) {
    const collect = async function (this: Gauge) {
      this.set(await count())
    }
    new Gauge({ name: `canemark_${name}`, help, registers: [registry], collect })
  }
  return { registry, token, seconds, refusals }
}

/** Times each request by its route as registered, never by the address asked for. */
export const countRequests = createMiddleware<Env>(async function countRequests(c, next) {
  const { metrics } = c.get('doors')
  if (metrics === null) return next()
  const stop = metrics.seconds.startTimer()
  await next()
  stop({ method: c.req.method, route: routeOf(c), status: String(c.res.status) })
  const refusal = c.get('refusal')
  if (refusal !== undefined) metrics.refusals.inc({ code: refusal })
})

/** Answers the figures to whoever shows the token; without a token set there is nothing here. */
export async function showMetrics(c: Context<Env>): Promise<Response> {
  const { metrics } = c.get('doors')
  if (metrics === null || metrics.token === null) {
    return problemResponse(c, 404, 'not_found', 'set CANEMARK_METRICS_TOKEN to have figures here')
  }
  const shown = bearerToken(c.req.header('authorization'))
  if (shown === null || !isSame(shown, metrics.token)) {
    c.header('www-authenticate', 'Bearer realm="canemark metrics"')
    return problemResponse(c, 401, 'wrong_token', 'send the token of CANEMARK_METRICS_TOKEN')
  }
  const text = await metrics.registry.metrics()
  return c.body(text, 200, { 'content-type': metrics.registry.contentType })
}

async function countEntries(db: Database): Promise<number> {
  const row = await db
    .selectFrom('entry')
    .select(({ fn }) => fn.max('journal_index').as('last'))
    .executeTakeFirst()
  return row?.last === undefined || row.last === null ? 0 : row.last + 1
}

function isSame(one: string, other: string): boolean {
  const hash = (text: string) => createHash('sha256').update(text).digest()
  return timingSafeEqual(hash(one), hash(other))
}
