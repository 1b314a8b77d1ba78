// GET /api/blocks, /api/blocks/{blockId}, /api/rows/{rowId}: the ground, and how its vines stand.
import { createRoute, z } from '@hono/zod-openapi'
import type { OpenAPIHono } from '@hono/zod-openapi'
import { ApiBlock, ApiBlockList, ApiRow } from '#wire/api-blocks.ts'
import { Id } from '#wire/basics.ts'
import { readRowVines } from '../grafting/read.ts'
import { listBlocks, listRows, readBlock } from '../nursery/read-blocks.ts'
import { refuse } from '../platform/errors.ts'
import { answer } from './answer.ts'
import type { ApiEnv, Readers } from './device.ts'
import { Season } from './parameters.ts'
import { problems } from './problems.ts'
import { vineNowOf } from './vines.ts'

/** Adds the operations to the machine API. */
export function addBlockReads(api: OpenAPIHono<ApiEnv>, readers: Readers): void {
  api.openapi(listRoute(readers), async (c) => {
    const blocks = await listBlocks(c.get('services').db)
    return c.json(answer(ApiBlockList, { blocks }), 200)
  })
  api.openapi(blockRoute(readers), async (c) => {
    const { blockId } = c.req.valid('param')
    const { db } = c.get('services')
    const block = await readBlock(db, blockId)
    if (block === null) {
      return refuse('unknown_block', `no entry tells of a block ${blockId}`, { status: 404 })
    }
    return c.json(answer(ApiBlock, { ...block, rows: await listRows(db, blockId) }), 200)
  })
  api.openapi(rowRoute(readers), async (c) => {
    const { rowId } = c.req.valid('param')
    const { season = null } = c.req.valid('query')
    const reading = await readRowVines(c.get('services').db, rowId, season)
    if (reading === null) {
      return refuse('unknown_row', `no entry lays out a row ${rowId}`, { status: 404 })
    }
    const { row } = reading.facts
    const told = {
      rowId,
      blockId: row.block_id,
      block: row.block_name,
      layout: row,
      vines: reading.vines.map(vineNowOf),
      strays: reading.strays.map(({ position }) => position),
      counts: reading.counts,
      seasons: reading.seasons,
    }
    return c.json(answer(ApiRow, told), 200)
  })
}

const listRoute = (readers: Readers) =>
  createRoute({
    method: 'get',
    path: '/blocks',
    operationId: 'listBlocks',
    tags: ['blocks and vines'],
    summary: 'List blocks by name',
    middleware: readers,
    responses: {
      200: {
        description: 'all blocks',
        content: { 'application/json': { schema: ApiBlockList } },
      },
      ...problems(401, 403, 429),
    },
  })

const blockRoute = (readers: Readers) =>
  createRoute({
    method: 'get',
    path: '/blocks/{blockId}',
    operationId: 'readBlock',
    tags: ['blocks and vines'],
    summary: 'Read a block with its rows as they are laid out',
    middleware: readers,
    request: { params: z.strictObject({ blockId: Id }) },
    responses: {
      200: { description: 'the block', content: { 'application/json': { schema: ApiBlock } } },
      ...problems(400, 401, 403, 404, 429),
    },
  })

const rowRoute = (readers: Readers) =>
  createRoute({
    method: 'get',
    path: '/rows/{rowId}',
    operationId: 'readRow',
    tags: ['blocks and vines'],
    summary: 'Read a row with every vine’s state',
    middleware: readers,
    request: {
      params: z.strictObject({ rowId: Id }),
      query: z.strictObject({
        season: Season.describe('narrows the states to what was planned and done in that year'),
      }),
    },
    responses: {
      200: { description: 'the row', content: { 'application/json': { schema: ApiRow } } },
      ...problems(400, 401, 403, 404, 429),
    },
  })
