// GET /api/tags/{code}: what a tag's code is on.
import { createRoute, z } from '@hono/zod-openapi'
import type { OpenAPIHono } from '@hono/zod-openapi'
import { TAG_INPUT_LIMIT, parseTagInput, tagProblemText } from '#trade/tag-code.ts'
import { ApiTag } from '#wire/api-tags.ts'
import { readTag } from '../labels/read-tags.ts'
import { refuse } from '../platform/errors.ts'
import { answer } from './answer.ts'
import type { ApiEnv, Readers } from './device.ts'
import { problems } from './problems.ts'

/** Adds the operation to the machine API. */
export function addTagReads(api: OpenAPIHono<ApiEnv>, readers: Readers): void {
  api.openapi(route(readers), async (c) => {
    const input = parseTagInput(c.req.valid('param').code)
    if (!input.ok) return refuse('not_a_code', tagProblemText(input), { status: 400 })
    const tag = await readTag(c.get('services').db, input.code)
    if (tag === null) {
      const detail = `the code ${input.code} was neither printed nor used here`
      return refuse('unknown_code', detail, { status: 404 })
    }
    return c.json(answer(ApiTag, tag), 200)
  })
}

const route = (readers: Readers) =>
  createRoute({
    method: 'get',
    path: '/tags/{code}',
    operationId: 'readTag',
    tags: ['tags'],
    summary: 'Look a tag up',
    description: 'The code as scanned or typed: small letters, groups and O for 0 are understood.',
    middleware: readers,
    request: { params: z.strictObject({ code: z.string().min(1).max(TAG_INPUT_LIMIT) }) },
    responses: {
      200: { description: 'the tag', content: { 'application/json': { schema: ApiTag } } },
      ...problems(400, 401, 403, 404, 429),
    },
  })
