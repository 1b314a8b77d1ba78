// GET /api/vines/{rowId}/{position}: one vine with its layers and every graft tried on it.
import { createRoute } from '@hono/zod-openapi'
import type { OpenAPIHono } from '@hono/zod-openapi'
import type { JudgedAttempt, Origin, VineLayer } from '#trade/vine-stack.ts'
import { ApiVine } from '#wire/api-blocks.ts'
import { readVine } from '../grafting/read.ts'
import type { LifeReading } from '../grafting/read.ts'
import type { VineNow } from '../grafting/vine-state.ts'
import { refuse } from '../platform/errors.ts'
import { answer } from './answer.ts'
import type { ApiEnv, Readers } from './device.ts'
import { VinePath } from './parameters.ts'
import { problems } from './problems.ts'

/** Adds the operation to the machine API. */
export function addVineReads(api: OpenAPIHono<ApiEnv>, readers: Readers): void {
  api.openapi(route(readers), async (c) => {
    const { rowId, position } = c.req.valid('param')
    const vine = await readVine(c.get('services').db, rowId, position)
    if (vine === null) {
      const detail = `no entry tells of position ${position} of a row ${rowId}`
      return refuse('unknown_vine', detail, { status: 404 })
    }
    const { inRow, sources, lives } = vine
    const now = vineNowOf(vine.now)
    const told = { rowId, position, inRow, now, lives: lives.map(lifeOf), sources }
    return c.json(answer(ApiVine, told), 200)
  })
}

/** A vine's state, with the graft that it tells of named by its id. */
export function vineNowOf({ graft, ...now }: VineNow): object {
  return { ...now, graftId: graft?.graft_id ?? null, lotId: graft?.lot_id ?? null }
}

function lifeOf({ life, stack }: LifeReading): object {
  return {
    plantedYear: life.plantedYear,
    layers: stack.layers.map(layerOf),
    attempts: stack.attempts.map(attemptOf),
  }
}

const layerOf = (layer: VineLayer) => ({ ...layer, origin: originOf(layer.origin) })

function originOf(origin: Origin): { kind: string; id: string | null } {
  if (origin.kind === 'lot') return { kind: 'lot', id: origin.lotId }
  if (origin.kind === 'source') return { kind: 'source', id: origin.sourceId }
  return { kind: 'unknown', id: null }
}

function attemptOf(attempt: JudgedAttempt): object {
  const { latestCheck, graftedAt, removedAt } = attempt
  return {
    ...attempt,
    graftedAt: new Date(graftedAt),
    removedAt: removedAt === null ? null : new Date(removedAt),
    lastCheck:
      latestCheck === null ? null : { ...latestCheck, checkedAt: new Date(latestCheck.checkedAt) },
  }
}

const route = (readers: Readers) =>
  createRoute({
    method: 'get',
    path: '/vines/{rowId}/{position}',
    operationId: 'readVine',
    tags: ['blocks and vines'],
    summary: 'Read one vine: its layers and every graft tried on it',
    middleware: readers,
    request: { params: VinePath },
    responses: {
      200: { description: 'the vine', content: { 'application/json': { schema: ApiVine } } },
      ...problems(400, 401, 403, 404, 429),
    },
  })
