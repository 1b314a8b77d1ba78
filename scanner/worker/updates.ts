// Installs the service worker and tells when a newer version of the app waits to be taken.
import { newLocks, SEND_LOCK, WRITE_LOCK } from '../queue/locks.ts'
import { SCOPE, TAKE_OVER } from './pages.ts'

/** A newer version, as the screens see it. */
export interface Updates {
  /** Is a newer version loaded whole and waiting? */
  isWaiting(): boolean
  /** Calls back when that changes; returns how to stop. */
  onChange(listener: () => void): () => void
  /** Changes over once nothing is being written or sent; the page then loads anew. */
  take(): void
}

/** How often a newer version is looked for while the app stays open, in ms. */
const LOOK_MS = 30 * 60_000

/**
 * Begins to keep the app for use without a network. Without service workers (an old browser, plain
 * http) the app works all the same, but only opens with a network.
 */
export function watchUpdates(): Updates {
  const listeners = new Set<() => void>()
  let waiting: ServiceWorker | null = null
  const found = (worker: ServiceWorker | null) => {
    waiting = worker
    for (const listener of listeners) listener()
  }
  const container = navigator.serviceWorker as ServiceWorkerContainer | undefined
  if (container !== undefined) {
    container.register(`${SCOPE}sw.js`, { scope: SCOPE, updateViaCache: 'none' }).then(
      (registration) => watch(registration, container, found),
      (error: unknown) => console.warn('the app cannot be kept for use offline', error),
    )
  }
  return {
    isWaiting: () => waiting !== null,
    onChange: (listener) => {
      listeners.add(listener)
      return () => void listeners.delete(listener)
    },
    take: () => {
      const { port1, port2 } = new MessageChannel()
      port1.onmessage = () => void loadAnew()
      waiting?.postMessage(TAKE_OVER, [port2])
    },
  }
}

/** Not in the middle of writing or sending; whoever comes next finds the new version. */
function loadAnew(): Promise<void> {
  const withLock = newLocks()
  return withLock(SEND_LOCK, () =>
    withLock(WRITE_LOCK, () => {
      location.reload()
      return new Promise<void>(() => {})
    }),
  )
}

function watch(
  registration: ServiceWorkerRegistration,
  container: ServiceWorkerContainer,
  found: (worker: ServiceWorker | null) => void,
): void {
  const look = () => {
    // The very first worker has nobody to wait for: it is no newer version.
    const waits = container.controller === null ? null : registration.waiting
    found(waits)
  }
  look()
  registration.addEventListener('updatefound', () => {
    registration.installing?.addEventListener('statechange', look)
  })
  setInterval(() => {
    registration.update().catch(() => undefined)
  }, LOOK_MS)
}
