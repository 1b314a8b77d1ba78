// Finds out whether the server was set back to an older backup, and then hands it everything again.
import { z } from 'zod'
import { lastAcknowledged, sendKeptAgain } from '../queue/outbox.ts'
import type { Store, StoredIdentity } from '../queue/store.ts'
import { meaningOf, parsed } from './answer.ts'
import type { Connection } from './connection.ts'

const Page = z.object({
  lines: z.array(z.object({ entry: z.object({ id: z.string() }) })),
})

/**
 * Looks whether the last entry that the server acknowledged still stands where it said. If another
 * stands there, or none, the server has lost entries: all that are kept here become unsent again.
 * Returns how many; null when the server does not say. It is asked before anything new is sent, for
 * a new entry would stand where the lost ones stood.
 */
export async function sendAgainIfLost(
  store: Store,
  connection: Connection,
  identity: StoredIdentity,
): Promise<number | null> {
  const last = await lastAcknowledged(store)
  if (last === null || last.journalIndex === null) return 0
  const target = `/api/journal?from=${last.journalIndex}&limit=1`
  const arrived = await connection.ask(identity, { method: 'GET', target })
  if (meaningOf(arrived).means !== 'done') return null
  const page = Page.safeParse(parsed(arrived.text))
  if (!page.success) return null
  if (page.data.lines[0]?.entry.id === last.id) return 0
  return sendKeptAgain(store)
}
