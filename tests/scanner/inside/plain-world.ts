// What a phone's inside needs outside a browser: no timers, no other tabs, a clock that runs.
import { newLocks } from '../../../scanner/queue/locks.ts'
import type { World } from '../../../scanner/world.ts'

/** A world in which nothing happens by itself. */
export function plainWorld(given: Pick<World, 'storeName' | 'fetch'> & Partial<World>): World {
  return {
    now: () => new Date(),
    offsetMinutes: () => 60,
    random: Math.random,
    withLock: newLocks(undefined),
    timers: { set: () => null, clear: () => {} },
    tabs: { tell: () => {}, listen: () => {} },
    languages: ['en'],
    storage: () => Promise.resolve({ persisted: true, usedBytes: null, quotaBytes: null }),
    ...given,
  }
}
