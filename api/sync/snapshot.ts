// GET /api/snapshot and /api/snapshot/blocks/{blockId}: what a phone keeps, to judge offline.
import { createRoute, z } from '@hono/zod-openapi'
import type { OpenAPIHono } from '@hono/zod-openapi'
import { compress } from 'hono/compress'
import { Snapshot, SnapshotBlock } from '#wire/api-snapshot.ts'
import { Id } from '#wire/basics.ts'
import { refuse } from '../platform/errors.ts'
import { readBlockSnapshot, readSnapshot } from '../snapshot/read.ts'
import type { Held } from '../snapshot/read.ts'
import { onlyReadingDevice } from './device.ts'
import type { ApiEnv } from './device.ts'
import { Season, wholeNumber } from './parameters.ts'
import { problems } from './problems.ts'

/** Adds both operations to the machine API. */
export function addSnapshots(api: OpenAPIHono<ApiEnv>): void {
  api.openapi(snapshotRoute, async (c) => {
    const { have = '', ...held } = c.req.valid('query')
    const { db, clock } = c.get('services')
    const digests = have === '' ? [] : have.split('.')
    return c.json(await readSnapshot(db, heldOf(held), digests, clock.now()), 200)
  })
  api.openapi(blockRoute, async (c) => {
    const { blockId } = c.req.valid('param')
    const { db, clock } = c.get('services')
    const held = heldOf(c.req.valid('query'))
    const block = await readBlockSnapshot(db, blockId, held, clock.now())
    if (block === null) {
      return refuse('unknown_block', `no entry tells of a block ${blockId}`, { status: 404 })
    }
    return c.json(block, 200)
  })
}

/** All three parameters, or nothing is held. */
function heldOf({ after, last, season }: z.infer<typeof Since>): Held {
  if (after === undefined || last === undefined || season === undefined) return null
  return { next: after, lastHash: last, season }
}

const Since = z.strictObject({
  after: wholeNumber(0, Number.MAX_SAFE_INTEGER)
    .optional()
    .describe('`next` of the snapshot that the device holds'),
  last: z
    .string()
    .regex(/^([0-9a-f]{64})?$/, 'the lastHash of a snapshot is needed here')
    .optional()
    .describe('`lastHash` of that snapshot'),
  season: Season.describe('`season` of that snapshot'),
})

const zipped = compress()

const snapshotRoute = createRoute({
  method: 'get',
  path: '/snapshot',
  operationId: 'readSnapshot',
  tags: ['snapshot'],
  summary: 'Read what a phone must know to judge without a network',
  description:
    'For devices alone. Without parameters the whole; with those of the last snapshot only what ' +
    'changed since, or the whole again when that is simpler (`whole` says which). All of one ' +
    'answer is of one moment. Rows come block by block.',
  security: [{ device: [] }, { signature: [] }],
  middleware: [onlyReadingDevice, zipped] as const,
  request: {
    query: Since.extend({
      have: z
        .string()
        .max(100)
        .regex(/^([0-9a-f]{16}(\.[0-9a-f]{16})*)?$/, 'digests of parts are needed here')
        .optional()
        .describe('digests of the parts that the device holds, with dots between'),
    }),
  },
  responses: {
    200: { description: 'the snapshot', content: { 'application/json': { schema: Snapshot } } },
    ...problems(400, 401, 403, 429),
  },
})

const blockRoute = createRoute({
  method: 'get',
  path: '/snapshot/blocks/{blockId}',
  operationId: 'readBlockSnapshot',
  tags: ['snapshot'],
  summary: 'Read the rows of one block, for a phone',
  description: 'For devices alone. `after`, `last` and `season` of this block’s own last answer.',
  security: [{ device: [] }, { signature: [] }],
  middleware: [onlyReadingDevice, zipped] as const,
  request: { params: z.strictObject({ blockId: Id }), query: Since },
  responses: {
    200: { description: 'its rows', content: { 'application/json': { schema: SnapshotBlock } } },
    ...problems(400, 401, 403, 404, 429),
  },
})
