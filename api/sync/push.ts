// POST /api/entries: a device hands over a batch of entries and is told of each what became of it.
import { createRoute } from '@hono/zod-openapi'
import type { OpenAPIHono } from '@hono/zod-openapi'
import { bodyLimit } from 'hono/body-limit'
import { createMiddleware } from 'hono/factory'
import { BATCH_BYTE_LIMIT, BATCH_LIMIT, PushAnswer } from '#wire/api-entries.ts'
import type { Database } from '../../db/connect.ts'
import { ingestReceived } from '../journal/ingest.ts'
import { settleFindings } from '../journal/settle.ts'
import { inspectEntries } from '../people/device-entries.ts'
import type { Log } from '../platform/log.ts'
import { problemResponse } from '../platform/problem.ts'
import { onlyDevice, provenBatch } from './device.ts'
import type { ApiEnv } from './device.ts'
import { openFindings } from '../journal/open-findings.ts'
import { problems } from './problems.ts'
import { readBatch } from './received.ts'

/** Adds the operation to the machine API. */
export function addPush(api: OpenAPIHono<ApiEnv>): void {
  api.openapi(route, async (c) => {
    const { db } = c.get('services')
    const device = c.get('device')
    const batch = readBatch(new Uint8Array(await c.req.arrayBuffer()))
    const received = await inspectEntries(db, device, batch)
    const results = await ingestReceived(db, device.deviceId, received)
    const settled = await settle(db, c.get('doors').log)
    const findings = await openFindings(db, received, results)
    return c.json({ results, ...findings, settled }, 200)
  })
}

const withinLimit = bodyLimit({
  maxSize: BATCH_BYTE_LIMIT,
  onError: (c) => {
    const detail = `the body is too large; send at most ${BATCH_BYTE_LIMIT} bytes: part the batch`
    return problemResponse(c, 413, 'too_large', detail)
  },
})

const onlyJson = createMiddleware<ApiEnv>(async function onlyJson(c, next) {
  const type = c.req.header('content-type') ?? ''
  const isJson = /^application\/json *(; *charset="?utf-8"? *)?$/i.test(type.trim())
  if (isJson && c.req.header('content-encoding') === undefined) return next()
  const detail = 'send the batch as content-type application/json, in UTF-8 and not compressed'
  return problemResponse(c, 415, 'not_json_type', detail)
})

const route = createRoute({
  method: 'post',
  path: '/entries',
  operationId: 'pushEntries',
  tags: ['entries'],
  summary: 'Hand over entries',
  description:
    'Every entry of the batch is either in the journal for ever when this answers 200, or set ' +
    'aside with its problem; one that is wrong never blocks the others. Sending the same batch ' +
    'again changes nothing. A phone signs the body and numbers its batches upwards. With any ' +
    'other answer nothing was written: send it again later.',
  security: [{ device: [] }, { signature: [] }],
  middleware: [onlyDevice, withinLimit, onlyJson, provenBatch] as const,
  request: {
    body: {
      required: true,
      description: `at most ${BATCH_LIMIT} entries and ${BATCH_BYTE_LIMIT} bytes`,
      // A plain reference, not a zod shape: the body is read by hand, to keep each entry's text.
      content: { 'application/json': { schema: { $ref: '#/components/schemas/PushBatch' } } },
    },
  },
  responses: {
    200: {
      description: 'what became of each entry',
      content: { 'application/json': { schema: PushAnswer } },
    },
    ...problems(400, 401, 403, 409, 413, 415, 422, 429),
  },
})

/**
 * Works findings out. The entries are in the journal by now, so a failure here is ours alone: it
 * is told in the log and in the answer, and the next batch tries again.
 */
async function settle(db: Database, log: Log): Promise<boolean> {
  try {
    await settleFindings(db)
    return true
  } catch (error) {
    log.error(error, 'findings could not be worked out')
    return false
  }
}
