// The service worker: opens the app without a network, and never changes it under unsent work.
import { STORE_NAME } from '../queue/store.ts'
import { newLocks, SEND_LOCK, WRITE_LOCK } from '../queue/locks.ts'
import { SCOPE, TAKE_OVER } from './pages.ts'
import { hasUnsent } from './has-unsent.ts'
import { keepWhole, keptAnswer, show, shownVersion, versionToShow } from './versions.ts'
import type { Version } from './versions.ts'

/** Put in by the build: this very version. */
declare const CANEMARK_VERSION: Version

/** What a worker's global scope has, beyond what the page's types know. */
interface WorkerScope {
  addEventListener(
    type: 'install' | 'activate' | 'fetch' | 'message',
    listener: (event: WorkerEvent) => void,
  ): void
  skipWaiting(): Promise<void>
}
interface WorkerEvent extends Event {
  readonly request: Request
  readonly data: unknown
  readonly ports: readonly MessagePort[]
  waitUntil(work: Promise<unknown>): void
  respondWith(answer: Promise<Response>): void
}

const scope = globalThis as unknown as WorkerScope
const withLock = newLocks()

scope.addEventListener('install', (event) => {
  const fresh = (address: string) => fetch(address, { cache: 'no-cache', credentials: 'omit' })
  event.waitUntil(keepWhole(caches, CANEMARK_VERSION, fresh))
})

scope.addEventListener('message', (event) => {
  if (event.data === TAKE_OVER) event.waitUntil(takeOver(event.ports[0]))
})

scope.addEventListener('fetch', (event) => {
  const address = new URL(event.request.url)
  const isOurs = address.origin === location.origin && address.pathname.startsWith(SCOPE)
  if (!isOurs || event.request.method !== 'GET') return
  event.respondWith(answer(event.request, address))
})

/**
 * Only while nothing is being written down or sent, in any tab. The browser may take minutes until
 * this worker is the one that answers; what is shown does not depend on that.
 */
async function takeOver(page: MessagePort | undefined): Promise<void> {
  await withLock(SEND_LOCK, () =>
    withLock(WRITE_LOCK, async () => {
      await show(caches, CANEMARK_VERSION.name)
      void scope.skipWaiting()
    }),
  )
  page?.postMessage('taken')
}

async function answer(request: Request, address: URL): Promise<Response> {
  try {
    const kept = await keptAnswer(caches, await versionFor(request), address)
    return kept ?? fetch(request)
  } catch {
    // A full or broken store must not keep a person with a network out of the app.
    return fetch(request)
  }
}

/** Opening the app may change the version; its files come from the version that was opened. */
async function versionFor(request: Request): Promise<string> {
  const newest = CANEMARK_VERSION.name
  if (request.mode !== 'navigate') return (await shownVersion(caches)) ?? newest
  const mayChange = async () => !(await hasUnsent(STORE_NAME))
  return versionToShow(caches, newest, mayChange)
}
