// What a request says of itself, believed only as far as it can be: address, origin, same site.
import type { Context } from 'hono'
import { createMiddleware } from 'hono/factory'
import { matchedRoutes } from 'hono/route'
import { plainAddress } from './doors.ts'
import { refuse } from './errors.ts'
import type { Env } from './services.ts'

/** The address at the other end of the connection; '' when there is none, as in tests. */
export function peerAddress(c: Context): string {
  const socket = (c.env as NodeBindings | undefined)?.incoming?.socket
  return plainAddress(socket?.remoteAddress ?? '')
}
type NodeBindings = { incoming?: { socket?: { remoteAddress?: string } } }

/**
 * Who asks: the peer, or what the nearest trusted proxy says of it. Of X-Forwarded-For only the
 * part is read that trusted proxies wrote, from its end; what a client wrote there counts nothing.
 */
export function clientAddress(c: Context<Env>): string {
  const { isProxy } = c.get('doors')
  let address = peerAddress(c)
  const forwarded = (c.req.header('x-forwarded-for') ?? '').split(',').map((part) => part.trim())
  while (isProxy(address) && forwarded.length > 0) {
    const before = forwarded.pop() ?? ''
    if (before === '') break
    address = plainAddress(before)
  }
  return address
}

/**
 * The origin that the browser sees, like `https://vines.example`: the configured one when it was
 * asked for by its host, else what a trusted proxy says, else what the request itself says.
 */
export function requestOrigin(c: Context<Env>): string {
  const { publicOrigin, isProxy } = c.get('doors')
  const url = new URL(c.req.url)
  const trusted = isProxy(peerAddress(c))
  const host = (trusted ? c.req.header('x-forwarded-host') : undefined) ?? url.host
  if (publicOrigin !== null && new URL(publicOrigin).host === host) return publicOrigin
  if (!trusted) return url.origin
  const protocol = c.req.header('x-forwarded-proto') ?? url.protocol.replace(':', '')
  const origin = `${protocol}://${host}`
  return URL.canParse(origin) && /^https?$/.test(protocol) ? new URL(origin).origin : url.origin
}

/** Does the browser reach us through TLS? */
export const isSecure = (c: Context<Env>) => requestOrigin(c).startsWith('https://')

/** Is this the server's own machine, where plain http crosses no network? */
export function isLoopback(c: Context<Env>): boolean {
  const { hostname } = new URL(requestOrigin(c))
  return hostname === 'localhost' || hostname === '[::1]' || /^127\.\d+\.\d+\.\d+$/.test(hostname)
}

/**
 * Lets nothing be changed from another site, whatever the type of its body: a request that is not
 * GET or HEAD must name our own origin, or be called same-origin by the browser.
 */
export const sameOriginOnly = createMiddleware<Env>(async function sameOriginOnly(c, next) {
  if (/^(GET|HEAD|OPTIONS)$/.test(c.req.method)) return next()
  const origin = c.req.header('origin')
  const site = c.req.header('sec-fetch-site')
  const ours = origin === undefined ? site === 'same-origin' : origin === requestOrigin(c)
  if (ours && (site === undefined || site === 'same-origin')) return next()
  const detail = 'this form came from another site, so nothing was done; open the page here first'
  return refuse('cross_site', detail, { status: 403 })
})

/** The route that answers, as it was registered (`/first/:token`); `none` where there is none. */
export function routeOf(c: Context): string {
  const own = matchedRoutes(c).filter(({ path }) => !path.endsWith('*'))
  return own.at(-1)?.path ?? 'none'
}
