// How the program says no: `refuse` for the user's situation, `assert` for our own mistakes.
import type { ContentfulStatusCode } from 'hono/utils/http-status'

/** One thing that is wrong with one field, and how to mend it. */
export type FieldProblem = { field: string; message: string }

/** What else a refusal tells: the HTTP status (422 unless said), the fields, when to come again. */
export type RefusalOptions = {
  status?: ContentfulStatusCode
  fields?: FieldProblem[]
  retryAfterSeconds?: number
}

/** The user's situation does not allow this; nothing was changed. */
export class Refusal extends Error {
  readonly code: string
  readonly status: ContentfulStatusCode
  readonly fields: FieldProblem[]
  /** After how many seconds trying again makes sense; null when nothing is known. */
  readonly retryAfterSeconds: number | null

  constructor(code: string, detail: string, options: RefusalOptions = {}) {
    super(detail)
    this.name = 'Refusal'
    this.code = code
    this.status = options.status ?? 422
    this.fields = options.fields ?? []
    this.retryAfterSeconds = options.retryAfterSeconds ?? null
  }
}

/** Refuses with a code for programs and a sentence for people. */
export function refuse(code: string, detail: string, options: RefusalOptions = {}): never {
  throw new Refusal(code, detail, options)
}

/** Stops when one of our own assumptions is false; `what` names it, with its invariant if any. */
export function assert(holds: boolean, what: string): asserts holds {
  if (!holds) throw new Error(`assertion failed: ${what}`)
}
