// One line of JSON for each request and each failure, without secrets, cookies or addresses asked.
import { createMiddleware } from 'hono/factory'
import pino from 'pino'
import type { DestinationStream, Logger, LoggerOptions } from 'pino'
import { routeOf } from './request.ts'
import type { Env } from './services.ts'

export type Log = Logger

/** Writes lines from `level` on to `to` (standard output); `silent` writes none. */
export function newLog(level: string, to?: DestinationStream): Log {
  const options: LoggerOptions = {
    level,
    base: null,
    timestamp: pino.stdTimeFunctions.isoTime,
    redact: { paths: ['*.password', '*.token', '*.cookie', '*.authorization'], censor: '…' },
  }
  return to === undefined ? pino(options) : pino(options, to)
}

/** The levels that CANEMARK_LOG may name, the most talkative first. */
export const logLevels = ['debug', 'info', 'warn', 'error', 'silent'] as const

/**
 * Logs who did what with which outcome. It names the route as registered (`/first/:token`) and
 * never the address asked for, so that a link's secret is not written down; a refusal is told by
 * its code, so that failed signings-in and things not allowed can be counted and looked for.
 */
export const logRequests = createMiddleware<Env>(async function logRequests(c, next) {
  const began = performance.now()
  await next()
  const person = c.get('person')
  const line = {
    method: c.req.method,
    route: routeOf(c),
    status: c.res.status,
    ms: Math.round(performance.now() - began),
    ...(person === undefined ? {} : { personId: person.personId, role: person.role }),
    ...(c.get('refusal') === undefined ? {} : { refusal: c.get('refusal') }),
  }
  const { log } = c.get('doors')
  if (c.res.status >= 500) log.error(line, 'request failed')
  else if (c.res.status >= 400) log.warn(line, 'request refused')
  else log.info(line, 'request')
})
