// What the phone's inside takes from the browser; a simulation hands in its own.
import { newLocks } from './queue/locks.ts'
import type { WithLock } from './queue/locks.ts'
import type { StorageState } from './phone.ts'
import { STORE_NAME } from './queue/store.ts'
import type { Timers } from './sync/schedule.ts'
import type { Fetch } from './sync/signed-fetch.ts'

/** Tells other tabs of this phone that the store has changed. */
export interface Tabs {
  readonly tell: () => void
  readonly listen: (changed: () => void) => void
}

export interface World {
  readonly storeName: string
  readonly fetch: Fetch
  readonly now: () => Date
  /** Local time minus UTC at that moment, in minutes. */
  readonly offsetMinutes: (date: Date) => number
  readonly random: () => number
  readonly withLock: WithLock
  readonly timers: Timers
  readonly tabs: Tabs
  /** The languages that the person prefers, best first, as in `en-US`. */
  readonly languages: readonly string[]
  /** Asks the browser to keep our store, when `ask` is true, and says how it stands. */
  readonly storage: (ask: boolean) => Promise<StorageState>
}

/** The browser itself. */
export function browserWorld(): World {
  const channel = typeof BroadcastChannel === 'function' ? new BroadcastChannel('canemark') : null
  return {
    storeName: STORE_NAME,
    fetch: (path, init) => fetch(path, init),
    now: () => new Date(),
    offsetMinutes: (date) => -date.getTimezoneOffset(),
    random: Math.random,
    withLock: newLocks(),
    timers: {
      set: (run, ms) => setTimeout(run, ms),
      clear: (handle) => clearTimeout(handle as ReturnType<typeof setTimeout>),
    },
    tabs: {
      tell: () => channel?.postMessage('changed'),
      listen: (changed) => channel?.addEventListener('message', changed),
    },
    languages: navigator.languages,
    storage: browserStorage,
  }
}

async function browserStorage(ask: boolean): Promise<StorageState> {
  const manager = navigator.storage as StorageManager | undefined
  if (manager === undefined) return { persisted: false, usedBytes: null, quotaBytes: null }
  const isKept = await manager.persisted()
  const persisted = isKept || (ask && (await manager.persist()))
  const { usage = null, quota = null } = await manager.estimate()
  return { persisted, usedBytes: usage, quotaBytes: quota }
}
