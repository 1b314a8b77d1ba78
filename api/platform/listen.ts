// Listens for requests, waits for nobody forever, and stops without cutting an answer off.
import type { AddressInfo } from 'node:net'
import type { ServerOptions } from 'node:http'
import { serve } from '@hono/node-server'
import type { Hono } from 'hono'
import type { Env } from './services.ts'

/** Until a client has sent all its headers. */
const HEADERS_MS = 15_000
/** Until it has sent its whole request: 8 MiB at 50 kB a second, as a poor signal gives. */
const REQUEST_MS = 180_000
/** How long an idle connection is kept for a next request. */
const IDLE_MS = 30_000
/** How often the first two are looked at. */
const CHECK_MS = 2_000
/** Most connections at one time; more wait in the system's own queue. */
const CONNECTION_LIMIT = 2_000
/** How long answers under way may take once the server stops. */
const STOP_MS = 10_000

/** A server that listens: where, and how to stop it. */
export type Listening = { port: number; stop: () => Promise<void> }

/** Times that a test sets shorter than they are. */
export type ListenTimes = { headersMs?: number; requestMs?: number; checkMs?: number }

/** Listens on `host` and `port` (0: any free one). Throws an Error in words when it cannot. */
export async function listen(
  app: Hono<Env>,
  host: string,
  port: number,
  times: ListenTimes = {},
): Promise<Listening> {
  const serverOptions: ServerOptions = {
    headersTimeout: times.headersMs ?? HEADERS_MS,
    requestTimeout: times.requestMs ?? REQUEST_MS,
    keepAliveTimeout: IDLE_MS,
    connectionsCheckingInterval: times.checkMs ?? CHECK_MS,
  }
  const server = serve({ fetch: app.fetch, hostname: host, port, serverOptions })
  await new Promise<void>((resolve, reject) => {
    server.once('listening', resolve)
    server.once('error', (error) => reject(cannotListen(error, host, port)))
  })
  if ('maxConnections' in server) server.maxConnections = CONNECTION_LIMIT
  const { port: actual } = server.address() as AddressInfo
  let stopping: Promise<void> | null = null
  const stop = async () => {
    const closed = new Promise<void>((resolve) => server.close(() => resolve()))
    const late = setTimeout(() => {
      if ('closeAllConnections' in server) server.closeAllConnections()
    }, STOP_MS)
    if ('closeIdleConnections' in server) {
      server.closeIdleConnections()
      // Else a client that never pauses would be served on until its answer is cut off at the end.
      server.keepAliveTimeout = 1
      server.prependListener('request', (_, response) => response.setHeader('connection', 'close'))
    }
    await closed
    clearTimeout(late)
  }
  return { port: actual, stop: () => (stopping ??= stop()) }
}

function cannotListen(error: Error, host: string, port: number): Error {
  const code = 'code' in error ? String(error.code) : ''
  const why =
    code === 'EADDRINUSE'
      ? 'another program listens there; stop it, or set PORT to another number'
      : code === 'EADDRNOTAVAIL' || code === 'ENOTFOUND'
        ? 'this machine has no such address; set HOST to one of its own'
        : error.message
  return new Error(`cannot listen on ${host}:${port}: ${why}`, { cause: error })
}
