// Hands out what happened as EPCIS 2.0 documents, and takes in lots that one brings.
import { createRoute, z } from '@hono/zod-openapi'
import type { OpenAPIHono } from '@hono/zod-openapi'
import { ApiEpcisDocument, EPCIS_BYTE_LIMIT, EpcisTaken } from '#wire/api-epcis.ts'
import { Id, NIL_ID } from '#wire/basics.ts'
import { captureDelivery } from '../exchange/capture.ts'
import { SPAN_LIMIT, exportSpan, exportThing } from '../exchange/export.ts'
import { refuse } from '../platform/errors.ts'
import { answer } from './answer.ts'
import { onlyDevice, provenBatch } from './device.ts'
import { bodyWithin, machineThatWrites } from './machine.ts'
import type { ApiEnv, Readers } from './device.ts'
import { wholeNumber } from './parameters.ts'
import { problems } from './problems.ts'

/** Adds the operations to the machine API. */
export function addEpcis(api: OpenAPIHono<ApiEnv>, readers: Readers): void {
  api.openapi(lotRoute(readers), async (c) => {
    const { db, clock } = c.get('services')
    const { lotId } = c.req.valid('param')
    const document = await exportThing(db, { kind: 'lot', id: lotId }, clock.now())
    return c.json(answer(ApiEpcisDocument, document), 200, ldJson)
  })
  api.openapi(blockRoute(readers), async (c) => {
    const { db, clock } = c.get('services')
    const { blockId } = c.req.valid('param')
    const document = await exportThing(db, { kind: 'block', id: blockId }, clock.now())
    return c.json(answer(ApiEpcisDocument, document), 200, ldJson)
  })
  api.openapi(spanRoute(readers), async (c) => {
    const { db, clock } = c.get('services')
    const { from = 0, limit = SPAN_LIMIT } = c.req.valid('query')
    const document = await exportSpan(db, { from, limit }, clock.now())
    return c.json(answer(ApiEpcisDocument, document), 200, ldJson)
  })
  api.openapi(captureRoute, async (c) => {
    const { db, clock } = c.get('services')
    const arrival = c.req.valid('query')
    const desk = { deviceId: c.get('device').deviceId, personId: NIL_ID, now: clock.now() }
    const taken = await captureDelivery(db, desk, parsed(await c.req.text()), arrival)
    return c.json(answer(EpcisTaken, taken), 200)
  })
}

/** The media type of JSON-LD; what reads JSON reads it. */
const ldJson = { 'content-type': 'application/ld+json' }

function parsed(text: string): unknown {
  try {
    return JSON.parse(text)
  } catch {
    return refuse('not_json', 'the body is not JSON; send an EPCISDocument in JSON-LD', {
      status: 400,
    })
  }
}

const document = {
  200: {
    description: 'an EPCISDocument; docs/exchange.md says what stands in it',
    content: { 'application/ld+json': { schema: ApiEpcisDocument } },
  },
}

const lotRoute = (readers: Readers) =>
  createRoute({
    method: 'get',
    path: '/epcis/lots/{lotId}',
    operationId: 'exportLot',
    tags: ['exchange'],
    summary: 'What happened to a lot and the lots that it came of, as EPCIS 2.0 events',
    middleware: readers,
    request: { params: z.strictObject({ lotId: Id }) },
    responses: { ...document, ...problems(400, 401, 403, 404, 409, 422, 429) },
  })

const blockRoute = (readers: Readers) =>
  createRoute({
    method: 'get',
    path: '/epcis/blocks/{blockId}',
    operationId: 'exportBlock',
    tags: ['exchange'],
    summary: 'What happened in a block and to the lots that its vines came of, as EPCIS 2.0 events',
    middleware: readers,
    request: { params: z.strictObject({ blockId: Id }) },
    responses: { ...document, ...problems(400, 401, 403, 404, 409, 422, 429) },
  })

const spanRoute = (readers: Readers) =>
  createRoute({
    method: 'get',
    path: '/epcis/entries',
    operationId: 'exportEntries',
    tags: ['exchange'],
    summary: 'What a span of the journal tells, as EPCIS 2.0 events',
    description: 'Ask again from cm:journalNext to hear everything once.',
    middleware: readers,
    request: {
      query: z.strictObject({
        from: wholeNumber(0, 10_000_000_000).optional().describe('the first index; 0 if not said'),
        limit: wholeNumber(1, SPAN_LIMIT).optional().describe('entries at most'),
      }),
    },
    responses: { ...document, ...problems(400, 401, 403, 409, 429) },
  })

const onlyMachine = machineThatWrites('lot.received', 'brings lots')
const withinLimit = bodyWithin(EPCIS_BYTE_LIMIT, 'the document')

const captureRoute = createRoute({
  method: 'post',
  path: '/epcis',
  operationId: 'bringLots',
  tags: ['exchange'],
  summary: 'Take in the lots that an EPCIS 2.0 document brings',
  description:
    'Every lot that the document brings is recorded as received, or none is. The answer says ' +
    'what of the document was left out. Sending the same document again records nothing anew.',
  security: [{ device: [] }],
  middleware: [onlyDevice, onlyMachine, withinLimit, provenBatch] as const,
  request: {
    query: z.strictObject({
      supplierId: Id.describe('the firm it came from, as registered here'),
      placeId: Id.describe('the place where it lies now'),
    }),
    body: {
      required: true,
      description: `an EPCISDocument of at most ${EPCIS_BYTE_LIMIT} bytes`,
      // A plain reference, not a zod shape: problems are named by place, with what to do.
      content: { 'application/json': { schema: { $ref: '#/components/schemas/EpcisDelivery' } } },
    },
  },
  responses: {
    200: {
      description: 'what became of the document',
      content: { 'application/json': { schema: EpcisTaken } },
    },
    ...problems(400, 401, 403, 413, 422, 429),
  },
})
