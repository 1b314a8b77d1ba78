// Writes entries into a file that a person can carry to the office when no network does.
import { allInState, byDeviceAndCounter } from './outbox.ts'
import type { Store } from './store.ts'

/** The type of the file: one entry on each line, each line ended by a line feed. */
export const EXPORT_TYPE = 'application/x-ndjson'

/** Unsent and set-aside entries, oldest first, exactly as they were signed. */
export async function exportFile(store: Store): Promise<Blob> {
  const [unsent, aside] = await Promise.all([
    allInState(store, 'unsent'),
    allInState(store, 'set aside'),
  ])
  const lines = [...unsent, ...aside].sort(byDeviceAndCounter).map(({ text }) => `${text}\n`)
  return new Blob(lines, { type: EXPORT_TYPE })
}
