// The quiet line at the foot of a printed page: what the journal was signed at when it was printed.
import type { Context } from 'hono'
import { lastCheckpoint } from '../journal/checkpoints.ts'
import { nurseryTimeZone } from '../nursery/read.ts'
import type { Env } from '../platform/services.ts'
import { shownTime } from './times.ts'

/** Characters of the root in base64: enough to find the checkpoint, too few to be its proof. */
const ROOT_SHOWN = 16

/**
 * Shows on paper alone how many entries were signed, where their root begins, and when; nothing
 * before the first checkpoint. A sheet that was filed tells so which state of the record it shows.
 */
export async function ProofLine({ c }: { c: Context<Env> }) {
  const { db } = c.get('services')
  const last = await lastCheckpoint(db)
  if (last === null) return null
  const { size, root, madeAt } = last
  const shown = root.toString('base64').slice(0, ROOT_SHOWN)
  const signed = shownTime(madeAt, await nurseryTimeZone(db))
  return <p class="on-paper">{`Journal: ${size} entries, root ${shown}…, signed ${signed}`}</p>
}
