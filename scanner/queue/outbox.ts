// What waits to be sent, what the server answered of each entry, and what is kept after that.
import type { SetAsideEntry } from '../phone.ts'
import { inState, strictly } from './store.ts'
import type { EntryState, Store, StoredEntry, StoredProblem } from './store.ts'

/** How long an entry stays here after the server took it in, in ms: 14 days. */
export const KEPT_MS = 14 * 24 * 3_600_000
/** Most entries let go in one transaction. */
const LET_GO_LIMIT = 2_000
/** Most set-aside entries that are listed; the export holds them all. */
export const ASIDE_LIMIT = 200

/** Up to `limit` unsent entries of one device in the order of their counters, from `from` on. */
export async function readUnsent(
  store: Store,
  deviceId: string,
  limit: number,
  from = 0,
): Promise<StoredEntry[]> {
  const range = IDBKeyRange.bound(['unsent', deviceId, from], ['unsent', deviceId, []])
  return store.getAllFromIndex('entry', 'state', range, limit)
}

/** The devices that this phone still has entries of, its present one first. */
export async function devicesWithUnsent(store: Store): Promise<string[]> {
  const devices: string[] = []
  let range: IDBKeyRange | null = inState('unsent')
  while (range !== null) {
    const trx = store.transaction('entry')
    const cursor = await trx.objectStore('entry').index('state').openKeyCursor(range)
    const device: string | undefined = cursor?.key[1]
    range = null
    if (device !== undefined) {
      devices.push(device)
      range = IDBKeyRange.bound(['unsent', device, []], ['unsent', []], true)
    }
    await trx.done
  }
  return devices
}

/** What the server said of one entry. */
export type Outcome =
  | { readonly result: 'recorded'; readonly journalIndex: number }
  | { readonly result: 'already recorded' }
  | { readonly result: 'set aside'; readonly problem: StoredProblem }

/** The figures that the screen shows. */
export interface OutboxFigures {
  readonly count: number
  readonly oldestAt: string | null
  readonly setAside: readonly SetAsideEntry[]
}

/** Counts what is unsent and lists what was set aside. */
export async function outboxFigures(store: Store): Promise<OutboxFigures> {
  const trx = store.transaction('entry')
  const index = trx.objectStore('entry').index('state')
  const [count, first, aside] = await Promise.all([
    index.count(inState('unsent')),
    index.get(inState('unsent')),
    index.getAll(inState('set aside'), ASIDE_LIMIT),
  ])
  await trx.done
  const setAside = aside.map(({ id, kind, occurredAt, problem }) => {
    return { id, kind, occurredAt, code: problem?.code ?? '', detail: problem?.detail ?? '' }
  })
  return { count, oldestAt: first?.occurredAt ?? null, setAside }
}

/**
 * Notes what the server said of each entry, all in one strict transaction. An entry that another
 * tab has noted already stays as it is. `outcomes` stand in the order of `sent`.
 */
export async function noteOutcomes(
  store: Store,
  sent: readonly StoredEntry[],
  outcomes: readonly Outcome[],
  nowMs: number,
): Promise<void> {
  const trx = strictly(store)
  const entries = trx.objectStore('entry')
  const reads = sent.map(async (entry, nr) => {
    const outcome = outcomes[nr]
    const standing = await entries.get([entry.device, entry.deviceCounter])
    if (outcome === undefined || standing === undefined || standing.state !== 'unsent') return
    await entries.put(withOutcome(standing, outcome, nowMs))
  })
  await Promise.all([...reads, trx.objectStore('number').put(nowMs, 'last sent ms')])
  await trx.done
}

function withOutcome(entry: StoredEntry, outcome: Outcome, nowMs: number): StoredEntry {
  if (outcome.result === 'set aside') {
    return { ...entry, state: 'set aside', answeredAtMs: nowMs, problem: outcome.problem }
  }
  const journalIndex = outcome.result === 'recorded' ? outcome.journalIndex : null
  return { ...entry, state: 'acknowledged', answeredAtMs: nowMs, journalIndex }
}

/**
 * Entries of this phone that the snapshot does not hold yet: unsent ones, and acknowledged ones
 * from journal index `from` on or of unknown index that were answered since the snapshot. Entries
 * that these withdraw are among them though the snapshot holds them: it is to show them no more.
 */
export async function entriesNotIn(
  store: Store,
  snapshot: { nextIndex: number; takenMs: number },
): Promise<StoredEntry[]> {
  const trx = store.transaction('entry')
  const entries = trx.objectStore('entry')
  const [unsent, numbered, answered] = await Promise.all([
    entries.index('state').getAll(inState('unsent')),
    entries.index('journalIndex').getAll(IDBKeyRange.lowerBound(snapshot.nextIndex)),
    entries.index('answeredAtMs').getAll(IDBKeyRange.lowerBound(snapshot.takenMs)),
  ])
  const unnumbered = answered.filter((entry) => {
    return entry.state === 'acknowledged' && entry.journalIndex === null
  })
  const notIn = [...numbered, ...unnumbered, ...unsent]
  const taken = await Promise.all(
    notIn.flatMap(withdrawnId).map((id) => entries.index('id').getAll(id)),
  )
  await trx.done
  const all = new Map([...notIn, ...taken.flat()].map((entry) => [entry.id, entry]))
  return [...all.values()].sort(byDeviceAndCounter)
}

/** The id of the entry that this one withdraws, if it does. */
function withdrawnId(entry: StoredEntry): string[] {
  if (entry.kind !== 'entry.withdrawn') return []
  const { body } = JSON.parse(entry.text) as { body: { entryId: string } }
  return [body.entryId]
}

/** In the order in which they were written. */
export function byDeviceAndCounter(one: StoredEntry, other: StoredEntry): number {
  if (one.device !== other.device) return one.device < other.device ? -1 : 1
  return one.deviceCounter - other.deviceCounter
}

/** The acknowledged entry that stands last in the journal, or null. */
export async function lastAcknowledged(store: Store): Promise<StoredEntry | null> {
  const trx = store.transaction('entry')
  const cursor = await trx.objectStore('entry').index('journalIndex').openCursor(null, 'prev')
  const entry = cursor?.value ?? null
  await trx.done
  return entry
}

/** The last entries of a device, newest first; `take` says true until it has enough. */
export async function eachBackwards(
  store: Store,
  deviceId: string,
  take: (entry: StoredEntry) => boolean,
): Promise<void> {
  const range = IDBKeyRange.bound([deviceId], [deviceId, []])
  const trx = store.transaction('entry')
  let cursor = await trx.objectStore('entry').openCursor(range, 'prev')
  while (cursor !== null && take(cursor.value)) cursor = await cursor.continue()
  await trx.done
}

/** Everything of one state, by device and counter. */
export async function allInState(store: Store, state: EntryState): Promise<StoredEntry[]> {
  return store.getAllFromIndex('entry', 'state', inState(state))
}

/**
 * Lets go of acknowledged entries that the server has held for `KEPT_MS` and that lie below
 * `coveredTo` in the journal. Until then they can be sent again to a server that was set back to
 * an older backup. Returns how many were let go.
 */
export async function letGo(store: Store, nowMs: number, coveredTo: number): Promise<number> {
  const trx = store.transaction('entry', 'readwrite')
  const entries = trx.objectStore('entry')
  const before = IDBKeyRange.upperBound(nowMs - KEPT_MS, true)
  const answered = await entries.index('answeredAtMs').getAll(before, LET_GO_LIMIT)
  const gone = answered.filter(({ state, journalIndex }) => {
    return state === 'acknowledged' && (journalIndex ?? 0) < coveredTo
  })
  await Promise.all(gone.map((entry) => entries.delete([entry.device, entry.deviceCounter])))
  await trx.done
  return gone.length
}

/**
 * Makes every kept entry unsent again, for a server that lost them; returns how many. What it
 * still has it answers as already recorded.
 */
export async function sendKeptAgain(store: Store): Promise<number> {
  const trx = strictly(store)
  const entries = trx.objectStore('entry')
  const kept = await entries.index('state').getAll(inState('acknowledged'))
  const unsent = { state: 'unsent', journalIndex: null, answeredAtMs: null } as const
  await Promise.all(kept.map((entry) => entries.put({ ...entry, ...unsent })))
  await trx.done
  return kept.length
}
