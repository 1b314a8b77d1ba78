// Errors as RFC 9457 problem details, for programs.
import type { Context } from 'hono'
import type { ContentfulStatusCode } from 'hono/utils/http-status'
import { Refusal } from './errors.ts'
import type { FieldProblem } from './errors.ts'

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

/** Answers a refusal as what it is, and anything else as a 500 without its insides. */
export function problemOf(c: Context, error: Error): Response {
  if (error instanceof Refusal) {
    if (error.retryAfterSeconds !== null) {
      c.header('retry-after', String(error.retryAfterSeconds))
    }
    return problemResponse(c, error.status, error.code, error.message, error.fields)
  }
  console.error(error)
  return problemResponse(c, 500, 'our_mistake', 'the server failed; nothing was changed')
}
