// Writes entries down: numbered without a gap, signed, whole or not at all, and then safe.
import canonicalize from 'canonicalize'
import { entryKinds, entrySchema } from '#wire/entry.ts'
import { signedEntryText } from '#wire/sign.ts'
import type { Draft } from '../phone.ts'
import { WriteError } from '../phone.ts'
import { sign } from '../keys/signing.ts'
import type { EntryIds } from './entry-ids.ts'
import { WRITE_LOCK } from './locks.ts'
import type { WithLock } from './locks.ts'
import { strictly } from './store.ts'
import type { Store, StoredEntry, StoredIdentity } from './store.ts'

/** How often the numbering is tried again when another tab was faster; locks make that rare. */
const TRY_LIMIT = 50

/** What every entry of one call shares, fixed when the person acted. */
export interface Moment {
  readonly occurredAt: string
  readonly nowMs: number
  readonly person: string
}

/** What writing needs: the store, whose lock, whose ids. */
export interface Writer {
  readonly store: Store
  readonly withLock: WithLock
  readonly ids: EntryIds
}

/**
 * Writes all drafts down in one transaction, in this order, and resolves after its `oncomplete`
 * under `durability: 'strict'`. Signing cannot happen inside a transaction (IndexedDB commits it
 * while WebCrypto works), so the counter is read first, the entries are signed for it, and the
 * transaction takes them only if the counter still stands there; else all of it is done again.
 * An aborted transaction leaves the counter as it was: no number is lost.
 *
 * @throws WriteError with nothing kept
 */
export async function writeEntries(
  writer: Writer,
  drafts: readonly Draft[],
  moment: Moment,
): Promise<readonly StoredEntry[]> {
  if (drafts.length === 0) return []
  for (const draft of drafts) refuseUnlessWritable(draft)
  return writer.withLock(WRITE_LOCK, async () => {
    for (let attempt = 1; attempt <= TRY_LIMIT; attempt += 1) {
      const written = await tryToWrite(writer, drafts, moment)
      if (written !== null) return written
    }
    throw new WriteError('storage broken', new Error('another tab was always faster'))
  })
}

/** Null when another tab wrote in between. */
async function tryToWrite(
  writer: Writer,
  drafts: readonly Draft[],
  moment: Moment,
): Promise<readonly StoredEntry[] | null> {
  const { store } = writer
  try {
    const identity = await currentIdentity(store)
    if (identity === null) throw new WriteError('not enrolled')
    const last = (await store.get('number', counterKey(identity.deviceId))) ?? 0
    const entries = await Promise.all(
      drafts.map((draft, nr) => signedEntry(writer.ids, identity, draft, last + 1 + nr, moment)),
    )
    const isPut = await putIfNext(store, identity.deviceId, last, entries, writer.ids.ms)
    return isPut ? entries : null
  } catch (error) {
    throw error instanceof WriteError ? error : new WriteError(troubleOf(error), error)
  }
}

async function putIfNext(
  store: Store,
  deviceId: string,
  last: number,
  entries: readonly StoredEntry[],
  idMs: number,
): Promise<boolean> {
  const trx = strictly(store)
  const numbers = trx.objectStore('number')
  const [current, standing] = await Promise.all([
    trx.objectStore('note').get('current device'),
    numbers.get(counterKey(deviceId)),
  ])
  if (current !== deviceId || (standing ?? 0) !== last) {
    await trx.done
    return false
  }
  // A request that fails aborts the transaction, and `done` then tells why.
  const unread = () => undefined
  for (const entry of entries) trx.objectStore('entry').add(entry).catch(unread)
  numbers.put(last + entries.length, counterKey(deviceId)).catch(unread)
  numbers.put(idMs, 'id ms').catch(unread)
  await trx.done
  return true
}

async function signedEntry(
  ids: EntryIds,
  identity: StoredIdentity,
  draft: Draft,
  deviceCounter: number,
  moment: Moment,
): Promise<StoredEntry> {
  const { occurredAt, person } = moment
  const { kind, body, holderId } = draft
  const { deviceId: device } = identity
  const { v } = entryKinds[kind]
  const id = ids.next(moment.nowMs)
  const entry = { id, kind, v, occurredAt, device, deviceCounter, person, body }
  const signature = await sign(identity.privateKey, signedEntryText(entry))
  const text = canonicalize({ ...entry, signature }) ?? ''
  const fresh = { state: 'unsent', journalIndex: null, answeredAtMs: null, problem: null } as const
  const beside = holderId === undefined ? {} : { holderId }
  return { device, deviceCounter, id, kind, occurredAt, text, ...fresh, ...beside }
}

/** A body that the server would set aside is told now, while the person can still mend it. */
function refuseUnlessWritable({ kind, body }: Draft): void {
  const read = entrySchema(kind).shape.body.safeParse(body)
  if (read.success) return
  const issue = read.error.issues[0]
  throw new WriteError('bad entry', read.error, issue?.path.join('.') ?? null)
}

/** Who this phone is now, or null before it is enrolled. */
export async function currentIdentity(store: Store): Promise<StoredIdentity | null> {
  const deviceId = await store.get('note', 'current device')
  if (typeof deviceId !== 'string') return null
  return (await store.get('identity', deviceId)) ?? null
}

/** Where the highest counter of a device stands. */
export const counterKey = (deviceId: string) => `counter ${deviceId}`

function troubleOf(error: unknown): 'storage full' | 'storage broken' {
  const isFull = error instanceof Error && error.name === 'QuotaExceededError'
  return isFull ? 'storage full' : 'storage broken'
}
