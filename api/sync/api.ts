// Composes the machine API under /api: push, pull, reads, their OpenAPI document and its page.
//
// To add a read, say GET /api/places/{placeId}:
// 1. Put the shape of the answer in api/wire/api-places.ts as a zod object with `.meta({ id })`;
//    the scanner may then read it too. Names are camelCase, times ISO 8601 in UTC, ids lower case.
// 2. Write api/sync/places.ts with one function `addPlaceReads(api, readers)`. In it, for each
//    operation: `api.openapi(createRoute({ …, middleware: readers, responses: { 200: …,
//    ...problems(400, 401, 403, 404, 429) } }), async (c) => …)`, as api/sync/tags.ts does. Take
//    parameters from parameters.ts, throw `refuse(code, detail, { status: 404 })` for what is not
//    there, and read through the subject's own read functions: no SQL in this folder.
// 3. Call it below. The document, the page and the generated-input test then include it; give that
//    test ids that exist, in `known` of tests/sync/generated.test.ts, so that it finds something.
import { OpenAPIHono } from '@hono/zod-openapi'
import { readersOnly } from './device.ts'
import type { ApiEnv, AuthenticatePerson } from './device.ts'
import { addBlockReads } from './blocks.ts'
import { addDocsPage } from './docs-page.ts'
import { addDocument } from './document.ts'
import { answerError, answerNothing, refuseParameters } from './problems.ts'
import { addEnrolment } from './enrol.ts'
import { addLotReads } from './lots.ts'
import { addPull } from './pull.ts'
import { addPush } from './push.ts'
import { addTagReads } from './tags.ts'
import { addTraceReads } from './trace.ts'
import { addVineReads } from './vines.ts'

/** The machine API; `authenticate` tells the person who is signed in, if any. */
export function newApi(authenticate: AuthenticatePerson): OpenAPIHono<ApiEnv> {
  const api = new OpenAPIHono<ApiEnv>({ defaultHook: refuseParameters })
  const readers = readersOnly(authenticate)
  api.onError(answerError)
  addEnrolment(api)
  addPush(api)
  addPull(api, readers)
  addLotReads(api, readers)
  addTagReads(api, readers)
  addBlockReads(api, readers)
  addVineReads(api, readers)
  addTraceReads(api, readers)
  addDocument(api)
  addDocsPage(api)
  api.all('*', answerNothing)
  return api
}
