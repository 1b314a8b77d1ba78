// How the machine API says what is wrong, where, and how to mend it: RFC 9457 problem details.
import { z } from 'zod'

/** One field, parameter or line that is wrong. */
export const ApiFieldProblem = z.strictObject({
  field: z.string().describe('the path of the field, as in entries.0.body'),
  message: z.string().describe('what is wrong with it and how to mend it'),
})

/** A problem document, sent as application/problem+json. */
export const ApiProblem = z
  .strictObject({
    type: z.literal('about:blank'),
    title: z.string(),
    status: z.int().min(400).max(599),
    code: z.string().describe('for programs: one word out of a closed list'),
    detail: z.string().describe('for people: what is wrong, where, and how to mend it'),
    fields: z.array(ApiFieldProblem).optional(),
  })
  .meta({ id: 'Problem' })
