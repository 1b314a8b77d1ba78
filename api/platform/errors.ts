// How the program says no: `refuse` for the user's situation, `assert` for our own mistakes.
import type { ContentfulStatusCode } from 'hono/utils/http-status'

/** One thing that is wrong with one field, and how to mend it. */
export type FieldProblem = { field: string; message: string }

/** The user's situation does not allow this; nothing was changed. */
export class Refusal extends Error {
  readonly code: string
  readonly status: ContentfulStatusCode
  readonly fields: FieldProblem[]

  constructor(
    code: string,
    detail: string,
    options: { status?: ContentfulStatusCode; fields?: FieldProblem[] } = {},
  ) {
    super(detail)
    this.name = 'Refusal'
    this.code = code
    this.status = options.status ?? 422
    this.fields = options.fields ?? []
  }
}

/** Refuses with a code for programs and a sentence for people. */
export function refuse(
  code: string,
  detail: string,
  options: { status?: ContentfulStatusCode; fields?: FieldProblem[] } = {},
): never {
  throw new Refusal(code, detail, options)
}

/** Stops when one of our own assumptions is false; `what` names it, with its invariant if any. */
export function assert(holds: boolean, what: string): asserts holds {
  if (!holds) throw new Error(`assertion failed: ${what}`)
}
