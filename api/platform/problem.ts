// Errors as RFC 9457 problem details, for programs.
import type { Context } from 'hono'
import type { ContentfulStatusCode } from 'hono/utils/http-status'
import { databaseTrouble } from './database-trouble.ts'
import { Refusal } from './errors.ts'
import type { FieldProblem } from './errors.ts'
import type { Log } from './log.ts'
import type { Env } from './services.ts'

/** A problem document (RFC 9457): `code` is from a closed list, `detail` says how to mend it. */
export type ProblemDocument = {
  type: 'about:blank'
  title: string
  status: number
  code: string
  detail: string
  fields?: FieldProblem[]
}

/** Answers with a problem document as application/problem+json. */
export function problemResponse(
  c: Context,
  status: ContentfulStatusCode,
  code: string,
  detail: string,
  fields: FieldProblem[] = [],
): Response {
  c.set('refusal', code)
  const body: ProblemDocument = {
    type: 'about:blank',
    title: code.replaceAll('_', ' '),
    status,
    code,
    detail,
    ...(fields.length > 0 ? { fields } : {}),
  }
  return c.body(JSON.stringify(body), status, { 'content-type': 'application/problem+json' })
}

/**
 * Answers a refusal as what it is, a database that cannot answer now as 503, and anything else as a
 * 500 without its insides.
 */
export function problemOf(c: Context, error: Error): Response {
  const refusal = error instanceof Refusal ? error : databaseTrouble(error)
  if (refusal !== null) {
    if (refusal !== error) logOf(c).error(`database: ${error.message}`)
    if (refusal.retryAfterSeconds !== null) {
      c.header('retry-after', String(refusal.retryAfterSeconds))
    }
    return problemResponse(c, refusal.status, refusal.code, refusal.message, refusal.fields)
  }
  logOf(c).error(error)
  return problemResponse(c, 500, 'our_mistake', 'the server failed; nothing was changed')
}

const logOf = (c: Context): Log => (c as Context<Env>).get('doors').log
