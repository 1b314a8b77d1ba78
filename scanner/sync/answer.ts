// Reads an answer of the server, and trusts it only when it is whole and of the right shape.
import { z } from 'zod'
import type { Outcome } from '../queue/outbox.ts'
import type { StoredEntry } from '../queue/store.ts'

/** An answer as it came over the network; `status` 0 when none came. */
export interface Arrived {
  readonly status: number
  readonly isJson: boolean
  /** The body as text; '' where it broke off or there was none. */
  readonly text: string
  /** Seconds that the server asks us to wait; null when it does not say. */
  readonly retryAfterSeconds: number | null
  /** ISO 8601, the server's clock as it answered; null when unknown. */
  readonly serverTime: string | null
}

/** What an answer means for the one who asked. */
export type Meaning =
  | { readonly means: 'done' }
  | { readonly means: 'no network' }
  | { readonly means: 'server trouble'; readonly waitSeconds: number | null }
  /** The request itself was refused: another one may fare better. */
  | { readonly means: 'refused'; readonly status: number; readonly code: string }
  | { readonly means: 'not let in'; readonly code: string }
  | { readonly means: 'waiting for the office' }
  | { readonly means: 'old number' }

/** What any answer but a success means. `wanted` is the status of success. */
export function meaningOf(arrived: Arrived, wanted = 200): Meaning {
  const { status, isJson, retryAfterSeconds: waitSeconds } = arrived
  if (status === 0) return { means: 'no network' }
  if (status === wanted && isJson) return { means: 'done' }
  const code = isJson ? codeOf(arrived.text) : null
  // Whatever is not told in our own words comes from something between us and the server.
  if (code === null) return { means: 'server trouble', waitSeconds }
  if (status === 409 && code === 'old_number') return { means: 'old number' }
  if (status === 403 && code === 'not_confirmed') return { means: 'waiting for the office' }
  if (status === 401 || status === 403) return { means: 'not let in', code }
  if (status === 429 || status >= 500) return { means: 'server trouble', waitSeconds }
  return { means: 'refused', status, code }
}

/**
 * What became of each entry of a batch, in its order; null unless the answer is JSON of the right
 * shape that names every entry that was sent, and no other, in the order in which it was sent.
 */
export function outcomesOf(text: string, sent: readonly StoredEntry[]): readonly Outcome[] | null {
  const answer = Answer.safeParse(parsed(text))
  if (!answer.success) return null
  const { results } = answer.data
  if (results.length !== sent.length) return null
  const isOurs = results.every(({ id }, nr) => id === null || id === sent[nr]?.id)
  return isOurs ? results : null
}

/**
 * What we need of `PushAnswer` (api/wire/api-entries.ts). What else a newer server tells is passed
 * over, for this version of the app must still be able to hand over its entries then.
 */
const Answer = z.object({
  results: z.array(
    z.discriminatedUnion('result', [
      z.object({
        id: z.string(),
        result: z.literal('recorded'),
        journalIndex: z.int().min(0),
      }),
      z.object({ id: z.string(), result: z.literal('already recorded') }),
      z.object({
        id: z.string().nullable(),
        result: z.literal('set aside'),
        problem: z.object({
          code: z.string(),
          detail: z.string(),
          path: z.string().nullable().default(null),
        }),
      }),
    ]),
  ),
})

/** A JSON text's value; undefined for anything else. */
export function parsed(text: string): unknown {
  try {
    return JSON.parse(text) as unknown
  } catch {
    return undefined
  }
}

function codeOf(text: string): string | null {
  const value = parsed(text)
  if (typeof value !== 'object' || value === null || !('code' in value)) return null
  return typeof value.code === 'string' ? value.code : null
}
