// Which version of the app is shown: kept whole in a cache, changed only when nothing waits.
import { CACHE_PREFIX, PIN_CACHE, PIN_KEY, SCOPE } from './pages.ts'

/** One version: its name, and each of its addresses with the SHA-256 of what lies there, in hex. */
export interface Version {
  readonly name: string
  readonly files: Readonly<Record<string, string>>
}

/** The browser's caches, as far as they are used. */
export type Caches = Pick<CacheStorage, 'open' | 'delete' | 'keys' | 'has'>

/** Stands in the cache of a version once all of it is there. */
const WHOLE_KEY = `${SCOPE}is-whole`
const cacheOf = (name: string) => `${CACHE_PREFIX}${name}`

/**
 * Fetches a version whole. Throws when one file of it does not come, or is not the very file that
 * was built (a network that asks for a sign-in answers everything with its own page): nothing of
 * the version is used then, and the browser tries all of it again later.
 */
export async function keepWhole(
  caches: Caches,
  version: Version,
  fetch: (address: string) => Promise<Response>,
): Promise<void> {
  if (await isWhole(caches, version.name)) return
  await caches.delete(cacheOf(version.name))
  const cache = await caches.open(cacheOf(version.name))
  try {
    await Promise.all(
      Object.entries(version.files).map(async ([address, sha256]) => {
        const response = await fetch(address)
        const body = await response.arrayBuffer()
        if (response.status !== 200 || (await hexDigest(body)) !== sha256) {
          throw new Error(`${address} is not the file that belongs to this version`)
        }
        await cache.put(address, new Response(body, { headers: plain(response.headers) }))
      }),
    )
    await cache.put(WHOLE_KEY, new Response('whole'))
  } catch (error) {
    await caches.delete(cacheOf(version.name))
    throw error
  }
}

async function isWhole(caches: Caches, name: string): Promise<boolean> {
  if (!(await caches.has(cacheOf(name)))) return false
  return (await (await caches.open(cacheOf(name))).match(WHOLE_KEY)) !== undefined
}

async function hexDigest(body: ArrayBuffer): Promise<string> {
  const digest = new Uint8Array(await crypto.subtle.digest('SHA-256', body))
  return Array.from(digest, (byte) => byte.toString(16).padStart(2, '0')).join('')
}

/** The body is unpacked by now, so what told of its packing must go. */
function plain(headers: Headers): Headers {
  const kept = new Headers(headers)
  for (const name of ['content-encoding', 'content-length', 'set-cookie']) kept.delete(name)
  return kept
}

/** The version that is shown; null before there is one. */
export async function shownVersion(caches: Caches): Promise<string | null> {
  const pin = await (await caches.open(PIN_CACHE)).match(PIN_KEY)
  const name = (await pin?.text()) ?? null
  return name !== null && (await isWhole(caches, name)) ? name : null
}

/** Shows a version from now on, and lets all others go. */
export async function show(caches: Caches, name: string): Promise<void> {
  await (await caches.open(PIN_CACHE)).put(PIN_KEY, new Response(name))
  for (const key of await caches.keys()) {
    const isOther = key.startsWith(CACHE_PREFIX) && key !== cacheOf(name)
    if (isOther) await caches.delete(key)
  }
}

/**
 * Decides at each opening of the app which version answers: the worker's own when nothing is
 * unsent, else the one that was shown before. A worker whose own version was let go is on its way
 * out: a newer one was asked for.
 */
export async function versionToShow(
  caches: Caches,
  newest: string,
  mayChange: () => Promise<boolean>,
): Promise<string> {
  const shown = await shownVersion(caches)
  if (shown === newest || !(await isWhole(caches, newest))) return shown ?? newest
  if (shown !== null && !(await mayChange())) return shown
  try {
    await show(caches, newest)
  } catch (error) {
    // Where the disk is full the new version cannot be noted; the old one then stays.
    if (shown !== null) return shown
    throw error
  }
  return newest
}

/** The kept answer to a request, from the version that is shown; null when it has none. */
export async function keptAnswer(
  caches: Caches,
  version: string,
  address: URL,
): Promise<Response | null> {
  const cache = await caches.open(cacheOf(version))
  const path = address.pathname === `${SCOPE}index.html` ? SCOPE : address.pathname
  return (await cache.match(path)) ?? null
}
