// POST /api/photos/{entryId}: a device sends a photo beside an entry that has arrived.
import { createRoute, z } from '@hono/zod-openapi'
import type { OpenAPIHono } from '@hono/zod-openapi'
import { bodyLimit } from 'hono/body-limit'
import { PHOTO_BYTE_LIMIT, PHOTO_TYPES, PhotoAnswer, photoTypeOf } from '#wire/api-photos.ts'
import { EntryId } from '#wire/basics.ts'
import { keepPhoto } from '../grafting/photos.ts'
import { refuse } from '../platform/errors.ts'
import { problemResponse } from '../platform/problem.ts'
import { onlyDevice, provenUpload } from './device.ts'
import type { ApiEnv } from './device.ts'
import { problems } from './problems.ts'

/** Adds the operation to the machine API. */
export function addPhotos(api: OpenAPIHono<ApiEnv>): void {
  api.openapi(route, async (c) => {
    const { entryId } = c.req.valid('param')
    const { db, clock } = c.get('services')
    const bytes = new Uint8Array(await c.req.arrayBuffer())
    const type = photoTypeOf(bytes)
    if (type === null) {
      const detail = `send a picture as ${PHOTO_TYPES.join(', ')}; these bytes are none of them`
      return refuse('not_a_photo', detail, { status: 415 })
    }
    const { deviceId } = c.get('device')
    const photo = { entryId, deviceId, type, bytes, now: clock.now() }
    const { sha256, isNew } = await keepPhoto(db, photo)
    const result = isNew ? ('kept' as const) : ('already kept' as const)
    return c.json({ entryId, sha256, result }, 200)
  })
}

const withinLimit = bodyLimit({
  maxSize: PHOTO_BYTE_LIMIT,
  onError: (c) => {
    const detail = `the photo is too large; send at most ${PHOTO_BYTE_LIMIT} bytes`
    return problemResponse(c, 413, 'too_large', detail)
  },
})

const binary = { schema: { type: 'string', format: 'binary' } } as const

const route = createRoute({
  method: 'post',
  path: '/photos/{entryId}',
  operationId: 'sendPhoto',
  tags: ['entries'],
  summary: 'Send a photo beside an entry',
  description:
    'By the device that wrote the entry, after the entry was taken in. Photos are kept apart ' +
    'from the journal. A phone signs the body with the time in seconds. The same bytes again ' +
    'change nothing.',
  security: [{ device: [] }, { signature: [] }],
  middleware: [onlyDevice, withinLimit, provenUpload] as const,
  request: {
    params: z.strictObject({ entryId: EntryId }),
    body: {
      required: true,
      description: `a picture of at most ${PHOTO_BYTE_LIMIT} bytes`,
      content: { 'image/jpeg': binary, 'image/png': binary, 'image/webp': binary },
    },
  },
  responses: {
    200: {
      description: 'the photo is kept',
      content: { 'application/json': { schema: PhotoAnswer } },
    },
    ...problems(400, 401, 403, 404, 413, 415, 422, 429),
  },
})
