// The phone's own database: what was written down, who this phone is, and how far its counters are.
import { openDB } from 'idb'
import type { DBSchema, IDBPDatabase, IDBPTransaction } from 'idb'

/** The database's name in the browser; a simulation of many phones gives each its own. */
export const STORE_NAME = 'canemark'
/** Raised with every change of the stores; each step below carries older entries over. */
export const STORE_VERSION = 1

/** Where an entry stands. It leaves `unsent` only on an answer of the server about this entry. */
export type EntryState = 'unsent' | 'acknowledged' | 'set aside'

/** An entry as it was written down: `text` never changes, for it is what was signed. */
export interface StoredEntry {
  readonly device: string
  readonly deviceCounter: number
  readonly id: string
  readonly kind: string
  readonly occurredAt: string
  /** The exact canonical JSON (RFC 8785), signature included, as it is sent. */
  readonly text: string
  readonly state: EntryState
  /** Its place in the server's journal; null until told, or when the server did not tell it. */
  readonly journalIndex: number | null
  /** When the server answered, by its clock as far as known, in ms since 1970; null before. */
  readonly answeredAtMs: number | null
  readonly problem: StoredProblem | null
  /** Beside the entry, and never sent: whose hands wood came into that was taken over. */
  readonly holderId?: string
}

/** Why the server set an entry aside. */
export interface StoredProblem {
  readonly code: string
  readonly detail: string
  readonly path: string | null
}

/** This phone under one of its enrolments; an older one stays until its entries are sent. */
export interface StoredIdentity {
  readonly deviceId: string
  readonly deviceName: string
  readonly fingerprint: string
  readonly state: 'waiting' | 'active' | 'revoked'
  /** Raw P-256 point in base64url. */
  readonly publicKey: string
  /** Cannot be taken out of the browser. */
  readonly privateKey: CryptoKey
}

/** A key that was made for an enrolment whose answer has not come yet. */
export interface PendingKey {
  readonly code: string
  readonly publicKey: string
  readonly privateKey: CryptoKey
}

interface Stores extends DBSchema {
  /** Keyed by device and counter, so that two entries can never share one. */
  entry: {
    key: [string, number]
    value: StoredEntry
    indexes: {
      id: string
      state: [EntryState, string, number]
      /** Holds only entries that have one. */
      journalIndex: number
      answeredAtMs: number
    }
  }
  identity: { key: string; value: StoredIdentity }
  /** `counter DEVICE`, `batch DEVICE`, `id ms`: the highest given out so far; `clock offset ms`. */
  number: { key: string; value: number }
  /** Small things under a name: settings, the current device, times. */
  note: { key: string; value: unknown }
}

export type Store = IDBPDatabase<Stores>
type StoreNames = ('entry' | 'identity' | 'number' | 'note')[]
export type WriteTransaction = IDBPTransaction<Stores, StoreNames, 'readwrite'>

/**
 * Opens the database, carrying it over from any earlier version. `onBlocking` is called when a
 * newer version of the app waits in another tab: this tab then closes the database.
 */
export async function openStore(name = STORE_NAME, onBlocking = () => {}): Promise<Store> {
  const store: Store = await openDB<Stores>(name, STORE_VERSION, {
    upgrade(db, oldVersion) {
      if (oldVersion < 1) makeVersion1(db)
    },
    blocking() {
      store.close()
      onBlocking()
    },
  })
  return store
}

function makeVersion1(db: Store): void {
  const entry = db.createObjectStore('entry', { keyPath: ['device', 'deviceCounter'] })
  entry.createIndex('id', 'id', { unique: true })
  entry.createIndex('state', ['state', 'device', 'deviceCounter'])
  entry.createIndex('journalIndex', 'journalIndex')
  entry.createIndex('answeredAtMs', 'answeredAtMs')
  db.createObjectStore('identity', { keyPath: 'deviceId' })
  db.createObjectStore('number')
  db.createObjectStore('note')
}

/** A transaction that is on the disk, not only in the system's memory, once it is done. */
export function strictly(store: Store): WriteTransaction {
  const names: StoreNames = ['entry', 'identity', 'number', 'note']
  return store.transaction(names, 'readwrite', { durability: 'strict' })
}

/** All keys of the `state` index that begin with this state. */
export const inState = (state: EntryState) => IDBKeyRange.bound([state], [state, []])
