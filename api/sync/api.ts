// Composes the machine API under /api: push, pull, reads, their OpenAPI document and its page.
//
// To add a read, say GET /api/places/{placeId}:
// 1. Put the shape of the answer in api/wire/api-places.ts as a zod object with `.meta({ id })`;
//    the scanner may then read it too. Names are camelCase, times ISO 8601 in UTC, people by id.
// 2. Write api/sync/places.ts with one function `addPlaceReads(api, readers)`, as tags.ts does: a
//    `createRoute` with operationId, tags, `middleware: readers` and `...problems(…)`, and a
//    handler that takes parameters from parameters.ts, reads through the subject's own read
//    functions (no SQL in this folder), throws `refuse(code, detail, { status: 404 })` for what is
//    not there, and gives `c.json(answer(Shape, value), 200)`.
// 3. Call it below. The document, the page and tests/sync/generated.test.ts then include it by
//    themselves; that test fails until some request finds something, so name a parameter as the
//    entries name its value, or give real values for it in `known`.
import { OpenAPIHono } from '@hono/zod-openapi'
import { createMiddleware } from 'hono/factory'
import { readersOnly } from './device.ts'
import type { ApiEnv, AuthenticatePerson } from './device.ts'
import { addBlockReads } from './blocks.ts'
import { addDocsPage } from './docs-page.ts'
import { addDocument } from './document.ts'
import { answerError, answerNothing, refuseParameters } from './problems.ts'
import { addEnrolment } from './enrol.ts'
import { addEpcis } from './epcis.ts'
import { addLotReads } from './lots.ts'
import { addPhotos } from './photos.ts'
import { addProofReads } from './proofs.ts'
import { addPull } from './pull.ts'
import { addPush } from './push.ts'
import { addReadings } from './readings.ts'
import { addSnapshots } from './snapshot.ts'
import { addTagReads } from './tags.ts'
import { addTonightRead } from './tonight.ts'
import { addTraceReads } from './trace.ts'
import { addVineReads } from './vines.ts'

/** The machine API; `authenticate` tells the person who is signed in, if any. */
export function newApi(authenticate: AuthenticatePerson): OpenAPIHono<ApiEnv> {
  const api = new OpenAPIHono<ApiEnv>({ defaultHook: refuseParameters })
  const readers = readersOnly(authenticate)
  api.use(tellTime)
  api.onError(answerError)
  addEnrolment(api)
  addPush(api)
  addPhotos(api)
  addPull(api, readers)
  addProofReads(api, readers)
  addReadings(api, readers)
  addEpcis(api, readers)
  addLotReads(api, readers)
  addTagReads(api, readers)
  addBlockReads(api, readers)
  addVineReads(api, readers)
  addTraceReads(api, readers)
  addTonightRead(api, readers)
  addSnapshots(api)
  addDocument(api)
  addDocsPage(api)
  api.all('*', answerNothing)
  return api
}

/** Tells the server's clock with every answer, for a phone to set its own against. */
const tellTime = createMiddleware<ApiEnv>(async function tellTime(c, next) {
  await next()
  c.header('canemark-time', c.get('services').clock.now().toISOString())
})
