// One at a time across all tabs of this phone: the browser's locks, or a row of promises without.

/** Runs `work` while nobody else holds the lock of this name. */
export type WithLock = <T>(name: string, work: () => Promise<T>) => Promise<T>

/** Held while entries are written down. */
export const WRITE_LOCK = 'canemark write'
/** Held by the one tab that sends. */
export const SEND_LOCK = 'canemark send'

/**
 * Locks of the browser where it has them (they reach over all tabs and end with a killed tab).
 * Without them, calls of this tab alone wait for each other: what keeps two tabs apart then is that
 * a transaction refuses a counter that is taken, and that the server takes each entry once.
 */
export function newLocks(manager: LockManager | undefined = globalThis.navigator?.locks): WithLock {
  if (manager !== undefined) {
    return async (name, work) => manager.request(name, work) as ReturnType<typeof work>
  }
  const rows = new Map<string, Promise<unknown>>()
  return async (name, work) => {
    const before = rows.get(name) ?? Promise.resolve()
    const mine = before.then(work, work)
    rows.set(name, mine)
    return mine
  }
}
