// Keeps the snapshot in a database of its own: all of a new one, or the old one as it was.
import { openDB } from 'idb'
import type { DBSchema, IDBPDatabase } from 'idb'
import type { SnapshotCodeShape, SnapshotLotShape } from '#wire/api-snapshot.ts'
import type { KeptTonight } from '../phone.ts'
import type { Known, KnownBlock, KnownHead } from './known.ts'

/** Raised when the stores change; an older one is emptied, for the server has all of it. */
const SNAPSHOT_STORE_VERSION = 3

interface Stores extends DBSchema {
  head: { key: 'head'; value: KnownHead }
  lot: { key: string; value: SnapshotLotShape }
  code: { key: string; value: SnapshotCodeShape }
  block: { key: string; value: KnownBlock }
  tonight: { key: 'tonight'; value: KeptTonight }
}

export type SnapshotStore = IDBPDatabase<Stores>

const names = ['head', 'lot', 'code', 'block'] as const

/**
 * Opens it. It lies apart from the entries of this phone: nothing here is worth more than the
 * network it takes to fetch it again.
 */
export async function openSnapshotStore(
  name = 'canemark snapshot',
  onBlocking = () => {},
): Promise<SnapshotStore> {
  const store: SnapshotStore = await openDB<Stores>(name, SNAPSHOT_STORE_VERSION, {
    upgrade(db) {
      for (const old of [...db.objectStoreNames]) db.deleteObjectStore(old)
      db.createObjectStore('head')
      db.createObjectStore('lot', { keyPath: 'lotId' })
      db.createObjectStore('code', { keyPath: 'code' })
      db.createObjectStore('block', { keyPath: 'blockId' })
      db.createObjectStore('tonight')
    },
    blocking() {
      store.close()
      onBlocking()
    },
  })
  return store
}

/** Is what is kept another snapshot than this one, fetched by another tab? */
export async function isKeptOther(store: SnapshotStore, known: Known | null): Promise<boolean> {
  const head = await store.get('head', 'head')
  return head?.takenAt !== known?.head.takenAt || head?.next !== known?.head.next
}

/** What is kept; null when there is nothing yet. */
export async function readKnown(store: SnapshotStore): Promise<Known | null> {
  const trx = store.transaction(names, 'readonly')
  const [head, lots, codes, blocks] = await Promise.all([
    trx.objectStore('head').get('head'),
    trx.objectStore('lot').getAll(),
    trx.objectStore('code').getAll(),
    trx.objectStore('block').getAll(),
  ])
  await trx.done
  if (head === undefined) return null
  return {
    head,
    lots: new Map(lots.map((lot) => [lot.lotId, lot])),
    codes: new Map(codes.map((code) => [code.code, code])),
    blocks: new Map(blocks.map((block) => [block.blockId, block])),
  }
}

/** Tonight's list as it was fetched last; null when there is none. */
export async function readTonight(store: SnapshotStore): Promise<KeptTonight | null> {
  return (await store.get('tonight', 'tonight')) ?? null
}

/** Keeps a list in the place of the one before. */
export async function writeTonight(store: SnapshotStore, kept: KeptTonight): Promise<void> {
  const trx = store.transaction('tonight', 'readwrite', { durability: 'strict' })
  await Promise.all([trx.store.put(kept, 'tonight'), trx.done])
}

/**
 * Puts `now` in the place of `before`, writing only pieces that differ, in one transaction: a
 * phone that dies in the middle of it holds the old one.
 *
 * @param before what is kept, as it was read or written last; null to write everything
 */
export async function writeKnown(
  store: SnapshotStore,
  before: Known | null,
  now: Known,
): Promise<void> {
  const trx = store.transaction(names, 'readwrite', { durability: 'strict' })
  const kept = await trx.objectStore('head').get('head')
  // Another tab may have been faster: then what lies there is not what we hold.
  const isOurs = before !== null && kept?.next === before.head.next
  const base = isOurs && kept?.takenAt === before.head.takenAt ? before : null
  // A request that fails aborts the transaction, and `done` then tells why.
  const unread = () => undefined
  trx.objectStore('head').put(now.head, 'head').catch(unread)
  const pieces = [
    { name: 'lot', old: base?.lots, fresh: now.lots },
    { name: 'code', old: base?.codes, fresh: now.codes },
    { name: 'block', old: base?.blocks, fresh: now.blocks },
  ] as const
  for (const { name, old, fresh } of pieces) {
    const pile = trx.objectStore(name)
    if (old === undefined) pile.clear().catch(unread)
    for (const key of old?.keys() ?? []) if (!fresh.has(key)) pile.delete(key).catch(unread)
    for (const [key, value] of fresh) {
      if (old?.get(key) !== value) pile.put(value).catch(unread)
    }
  }
  await trx.done
}
