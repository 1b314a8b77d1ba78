// Composes the whole server: headers, limits, the machine API and the office pages.
import { Hono } from 'hono'
import type { Context } from 'hono'
import { bodyLimit } from 'hono/body-limit'
import { createMiddleware } from 'hono/factory'
import { secureHeaders } from 'hono/secure-headers'
import { assets } from './office/assets.ts'
import { FORM_BYTE_LIMIT } from './office/form.ts'
import { lookupPages } from './office/lookup/pages.tsx'
import { office } from './office/office.tsx'
import { refusalPage } from './office/refusal-page.tsx'
import { signedIn, withRight } from './office/sign-in/guard.tsx'
import type { Authenticate } from './office/sign-in/guard.tsx'
import { signInPages } from './office/sign-in/pages.tsx'
import { plainDoors } from './platform/doors.ts'
import type { Doors } from './platform/doors.ts'
import { addressKey } from './platform/limits.ts'
import { logRequests } from './platform/log.ts'
import { countRequests, showMetrics } from './platform/metrics.ts'
import { problemOf, problemResponse } from './platform/problem.ts'
import { clientAddress, sameOriginOnly } from './platform/request.ts'
import type { Env, Services } from './platform/services.ts'
import { newApi } from './sync/api.ts'
import { addScannerPages } from './sync/scanner-pages.ts'

/**
 * The app for these services; `authenticate` tells the person of each office request, and `doors`
 * what is trusted and how often one may try.
 */
export function newApp(
  services: Services,
  authenticate: Authenticate,
  doors: Doors = plainDoors(),
): Hono<Env> {
  const app = new Hono<Env>()
  app.use(async (c, next) => {
    c.set('services', services)
    c.set('doors', doors)
    await next()
  })
  app.use(logRequests)
  app.use(countRequests)
  addScannerPages(app)
  app.use(secureHeaders(headers))
  app.route('/api', newApi(authenticate))
  app.use(
    bodyLimit({
      maxSize: FORM_BYTE_LIMIT,
      onError: (c) => problemResponse(c, 413, 'too_large', `send at most ${FORM_BYTE_LIMIT} bytes`),
    }),
  )
  app.onError((error, c) => (isForProgram(c) ? problemOf(c, error) : refusalPage(c, error)))
  app.notFound((c) => problemResponse(c, 404, 'not_found', 'there is nothing at this address'))
  app.route('/assets', assets)
  app.get('/metrics', showMetrics)
  for (const path of ['/T', '/t']) {
    app.use(`${path}/*`, countLookups)
    app.route(path, lookupPages)
  }
  app.use(sameOriginOnly)
  app.route('/', signInPages)
  app.use(signedIn(authenticate))
  app.use(withRight)
  app.route('/', office)
  return app
}

/** Anybody may look a tag up, but nobody all of them in one go. */
const countLookups = createMiddleware<Env>(async function countLookups(c, next) {
  await c.get('doors').limits.count('lookup address', addressKey(clientAddress(c)))
  await next()
})

const headers: Parameters<typeof secureHeaders>[0] = {
  contentSecurityPolicy: {
    defaultSrc: ["'self'"],
    styleSrc: ["'self'"],
    scriptSrc: ["'self'"],
    imgSrc: ["'self'", 'data:'],
    objectSrc: ["'none'"],
    baseUri: ["'none'"],
    formAction: ["'self'"],
    frameAncestors: ["'none'"],
  },
  referrerPolicy: 'same-origin',
  // A year, as OWASP ASVS 5.0 asks in 3.4.1; browsers heed it over https alone.
  strictTransportSecurity: 'max-age=31536000; includeSubDomains',
}

const isForProgram = (c: Context) => c.req.path.startsWith('/api/')
