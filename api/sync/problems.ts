// The problems that operations of the machine API document, and how they are answered.
import type { Hook } from '@hono/zod-openapi'
import type { Context } from 'hono'
import { HTTPException } from 'hono/http-exception'
import { ApiProblem } from '#wire/api-problem.ts'
import { problemOf, problemResponse } from '../platform/problem.ts'
import type { ApiEnv } from './device.ts'

const meanings = {
  400: 'a parameter or the body cannot be read',
  401: 'no enrolled device and nobody signed in asks',
  403: 'who asks is known and may not do this',
  404: 'nothing has this id',
  409: 'the number of the batch does not come next',
  413: 'the body is too large',
  415: 'the body is of another type than it must be',
  422: 'the body is JSON of another shape than it must be',
  429: 'too many requests; wait as Retry-After says',
  503: 'the database cannot answer now; wait as Retry-After says, and send the same again',
} as const

type ProblemStatus = keyof typeof meanings

const content = { 'application/problem+json': { schema: ApiProblem } }

/**
 * The problem responses of an operation, by status, as an OpenAPI document lists them; the database
 * may fail each of them.
 */
export function problems<S extends ProblemStatus>(...statuses: S[]) {
  const responses = [...statuses, 503 as const].map((status) => [
    status,
    { description: meanings[status], content },
  ])
  return Object.fromEntries(responses) as {
    [K in S | 503]: { description: string; content: typeof content }
  }
}

/** Answers parameters that do not fit with 400, naming each of them. */
export const refuseParameters: Hook<unknown, ApiEnv, string, unknown> = (result, c) => {
  if (result.success) return undefined
  const fields = result.error.issues.map((issue) => ({
    field: issue.path.join('.') || result.target,
    message: issue.message,
  }))
  const first = fields[0]
  const detail = `${first?.field ?? 'a parameter'}: ${first?.message ?? 'unreadable'}`
  return problemResponse(c, 400, 'bad_parameter', detail, fields)
}

/** Answers whatever an operation throws: our refusals, the framework's, and our mistakes. */
export function answerError(error: Error, c: Context<ApiEnv>): Response {
  if (!(error instanceof HTTPException)) return problemOf(c, error)
  return problemResponse(c, error.status, 'bad_request', error.message || 'unreadable request')
}

/** Answers an address or method that is none of ours. */
export function answerNothing(c: Context<ApiEnv>): Response {
  const detail = `nothing answers ${c.req.method} at this address; GET /api/openapi.json lists all`
  return problemResponse(c, 404, 'not_found', detail)
}
