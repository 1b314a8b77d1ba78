// Puts unsent entries together into one batch within the server's limits.
import { BATCH_BYTE_LIMIT } from '#wire/api-entries.ts'
import type { StoredEntry } from '../queue/store.ts'

/** Room for what stands around the entries. */
const FRAME_BYTES = 64
const text = new TextEncoder()

/** A batch: its entries, and the exact bytes that are signed and sent. */
export interface Batch {
  readonly entries: readonly StoredEntry[]
  readonly body: Uint8Array<ArrayBuffer>
}

/**
 * The first of `entries` that fit together, at most `limit` and at least one; their texts go out
 * as they stand in the store.
 */
export function makeBatch(entries: readonly StoredEntry[], limit: number): Batch {
  const chosen: StoredEntry[] = []
  let bytes = FRAME_BYTES
  for (const entry of entries.slice(0, limit)) {
    bytes += text.encode(entry.text).length + 1
    if (bytes > BATCH_BYTE_LIMIT && chosen.length > 0) break
    chosen.push(entry)
  }
  const body = `{"entries":[${chosen.map((entry) => entry.text).join(',')}]}`
  return { entries: chosen, body: text.encode(body) }
}
