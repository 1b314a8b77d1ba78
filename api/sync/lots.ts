// GET /api/lots and /api/lots/{lotId}: lots in a list, and one lot whole.
import { createRoute, z } from '@hono/zod-openapi'
import type { OpenAPIHono } from '@hono/zod-openapi'
import { ApiLot, ApiLotPage } from '#wire/api-lots.ts'
import { Id } from '#wire/basics.ts'
import { readLotDetail } from '../lots/lot-detail.ts'
import { LOT_PAGE, listLots } from '../lots/read.ts'
import { refuse } from '../platform/errors.ts'
import { answer } from './answer.ts'
import type { ApiEnv, Readers } from './device.ts'
import { FindText, PageNumber } from './parameters.ts'
import { problems } from './problems.ts'

/** Adds both operations to the machine API. */
export function addLotReads(api: OpenAPIHono<ApiEnv>, readers: Readers): void {
  api.openapi(listRoute(readers), async (c) => {
    const { find = '', page = 0 } = c.req.valid('query')
    const lots = await listLots(c.get('services').db, { text: find, page })
    const nextPage = lots.length === LOT_PAGE ? page + 1 : null
    return c.json(answer(ApiLotPage, { lots, nextPage }), 200)
  })
  api.openapi(lotRoute(readers), async (c) => {
    const { lotId } = c.req.valid('param')
    const detail = await readLotDetail(c.get('services').db, lotId)
    if (detail === null) {
      return refuse('unknown_lot', `no entry tells of a lot ${lotId}`, { status: 404 })
    }
    return c.json(answer(ApiLot, { lotId, ...detail }), 200)
  })
}

const listRoute = (readers: Readers) =>
  createRoute({
    method: 'get',
    path: '/lots',
    operationId: 'listLots',
    tags: ['lots'],
    summary: 'List lots, newest first',
    middleware: readers,
    request: {
      query: z.strictObject({
        find: FindText.describe('a part of the reference, variety or clone'),
        page: PageNumber.describe('counts from 0'),
      }),
    },
    responses: {
      200: {
        description: `up to ${LOT_PAGE} lots`,
        content: { 'application/json': { schema: ApiLotPage } },
      },
      ...problems(400, 401, 403, 429),
    },
  })

const lotRoute = (readers: Readers) =>
  createRoute({
    method: 'get',
    path: '/lots/{lotId}',
    operationId: 'readLot',
    tags: ['lots'],
    summary: 'Read one lot whole',
    middleware: readers,
    request: { params: z.strictObject({ lotId: Id }) },
    responses: {
      200: { description: 'the lot', content: { 'application/json': { schema: ApiLot } } },
      ...problems(400, 401, 403, 404, 429),
    },
  })
