// Serves the phone app under /scanner/, built when the server starts, under rules of its own.
import type { Context, Hono } from 'hono'
import { secureHeaders } from 'hono/secure-headers'
import { buildScanner } from '../../scanner/build.ts'
import type { BuiltFile, BuiltScanner } from '../../scanner/build.ts'
import { problemResponse } from '../platform/problem.ts'
import type { Env } from '../platform/services.ts'

/** Gives the built app; what is given once is kept. */
export type Build = () => Promise<BuiltScanner>

let built: Promise<BuiltScanner> | null = null

/** The app of this tree, built at the first call; again after a build that failed. */
export const builtScanner: Build = () => {
  built ??= buildScanner().catch((error: unknown) => {
    built = null
    throw error
  })
  return built
}

/**
 * Adds the app's addresses. They stand before the office's headers, for the page needs a camera,
 * a worker and WebAssembly, and nothing else that an office page has.
 */
export function addScannerPages(app: Hono<Env>, build: Build = builtScanner): void {
  app.use('/scanner/*', secureHeaders(headers))
  app.get('/scanner', (c) => c.redirect('/scanner/', 308))
  app.get('/scanner/', async (c) => serveFile(c, await build(), ''))
  app.get('/scanner/:file{[A-Za-z0-9._-]+}', async (c) => {
    return serveFile(c, await build(), c.req.param('file'))
  })
}

function serveFile(c: Context<Env>, { files }: BuiltScanner, name: string): Response {
  const file = files.get(name)
  if (file === undefined) {
    return problemResponse(c, 404, 'not_found', 'the phone app has no such file; load it anew')
  }
  const tag = `"${file.sha256.slice(0, 32)}"`
  c.header('etag', tag)
  c.header('vary', 'accept-encoding')
  c.header('cache-control', file.isHashed ? 'public, max-age=31536000, immutable' : 'no-cache')
  if (c.req.header('if-none-match') === tag) return c.body(null, 304)
  c.header('content-type', file.type)
  return c.body(bodyFor(c, file))
}

function bodyFor(c: Context<Env>, { bytes, gzip }: BuiltFile): Uint8Array<ArrayBuffer> {
  const takesGzip = /\bgzip\b/.test(c.req.header('accept-encoding') ?? '')
  if (gzip === null || !takesGzip) return new Uint8Array(bytes)
  c.header('content-encoding', 'gzip')
  return new Uint8Array(gzip)
}

const headers: Parameters<typeof secureHeaders>[0] = {
  contentSecurityPolicy: {
    defaultSrc: ["'none'"],
    scriptSrc: ["'self'", "'wasm-unsafe-eval'"],
    workerSrc: ["'self'"],
    styleSrc: ["'self'"],
    imgSrc: ["'self'", 'blob:', 'data:'],
    mediaSrc: ["'self'", 'blob:'],
    connectSrc: ["'self'"],
    manifestSrc: ["'self'"],
    baseUri: ["'none'"],
    formAction: ["'none'"],
    frameAncestors: ["'none'"],
  },
  permissionsPolicy: {
    camera: ['self'],
    microphone: [],
    geolocation: [],
    payment: [],
    usb: [],
  },
  referrerPolicy: 'no-referrer',
  strictTransportSecurity: 'max-age=31536000; includeSubDomains',
}
