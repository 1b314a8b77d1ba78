// Reads this phone's own entries back: for the list of the last ones, and to lay over a snapshot.
import type { Draft } from '../phone.ts'
import type { OwnEntry } from '../snapshot-source.ts'
import { eachBackwards } from './outbox.ts'
import type { Store, StoredEntry } from './store.ts'

interface Readable {
  readonly person: string
  readonly body: Draft['body']
}

/** We wrote it ourselves, from a checked body, so its text needs no second check. */
const readText = ({ text }: StoredEntry) => JSON.parse(text) as Readable

/** The body of an entry as it was written. */
export function bodyOf(entry: StoredEntry): Draft['body'] {
  return readText(entry).body
}

/** An entry as the snapshot takes it. */
export function ownEntry(entry: StoredEntry): OwnEntry {
  const { id, kind, occurredAt, journalIndex, holderId } = entry
  const beside = holderId === undefined ? {} : { holderId }
  return { id, kind, occurredAt, journalIndex, ...readText(entry), ...beside } as OwnEntry
}

/** The last entries of a device, newest first, without withdrawn ones and their withdrawals. */
export async function recentEntries(
  store: Store,
  deviceId: string,
  limit: number,
): Promise<readonly StoredEntry[]> {
  const withdrawn = new Set<string>()
  const recent: StoredEntry[] = []
  await eachBackwards(store, deviceId, (entry) => {
    if (entry.kind === 'entry.withdrawn') withdrawn.add(withdrawnBy(entry))
    else if (!withdrawn.has(entry.id)) recent.push(entry)
    return recent.length < limit
  })
  return recent
}

function withdrawnBy(entry: StoredEntry): string {
  const body = bodyOf(entry)
  return 'entryId' in body ? body.entryId : ''
}
