// GET /api/trace/…: what a lot or vine is made of, and what came of a source, lot or bath.
import { createRoute, z } from '@hono/zod-openapi'
import type { OpenAPIHono } from '@hono/zod-openapi'
import { ApiTraceBack, ApiTraceForward } from '#wire/api-trace.ts'
import { Id } from '#wire/basics.ts'
import { refuse } from '../platform/errors.ts'
import { traceLotBack, traceVineBack } from '../trace/back.ts'
import type { TraceBack } from '../trace/back.ts'
import { traceForward } from '../trace/forward.ts'
import type { TraceForward } from '../trace/forward.ts'
import { answer } from './answer.ts'
import type { ApiEnv, Readers } from './device.ts'
import { VinePath } from './parameters.ts'
import { problems } from './problems.ts'

/** Adds the operations to the machine API. */
export function addTraceReads(api: OpenAPIHono<ApiEnv>, readers: Readers): void {
  api.openapi(lotBackRoute(readers), async (c) => {
    const { lotId } = c.req.valid('param')
    const trace = await traceLotBack(c.get('services').db, lotId)
    if (leadsNowhere(trace)) unknownStart(`lot ${lotId}`)
    return c.json(answer(ApiTraceBack, backOf(trace)), 200)
  })
  api.openapi(vineBackRoute(readers), async (c) => {
    const { rowId, position } = c.req.valid('param')
    const trace = await traceVineBack(c.get('services').db, rowId, position)
    if (trace.parts.length === 0) unknownStart(`vine at position ${position} of row ${rowId}`)
    return c.json(answer(ApiTraceBack, backOf(trace)), 200)
  })
  api.openapi(forwardRoute(readers), async (c) => {
    const { kind, id } = c.req.valid('param')
    const trace = await traceForward(c.get('services').db, { kind, id })
    if (leadsNowhere(trace) && trace.rows.length === 0) unknownStart(`${kind} ${id}`)
    return c.json(answer(ApiTraceForward, { ...trace, ...trace.lineage }), 200)
  })
}

function backOf(trace: TraceBack): object {
  const shares = trace.shares.map(({ origins, ...lot }) => ({
    ...lot,
    origins: origins.map(({ share, ...origin }) => ({
      ...origin,
      numerator: String(share.numerator),
      denominator: String(share.denominator),
    })),
  }))
  return { ...trace, ...trace.lineage, shares }
}

/** Nothing describes the start, and no step leads from it. */
function leadsNowhere({ lots, sources, lineage }: TraceBack | TraceForward): boolean {
  return lots.length + sources.length + lineage.edges.length === 0
}

function unknownStart(what: string): never {
  refuse('unknown_start', `no entry tells of a ${what}`, { status: 404 })
}

const back = {
  200: { description: 'the trace', content: { 'application/json': { schema: ApiTraceBack } } },
  ...problems(400, 401, 403, 404, 429),
}

const lotBackRoute = (readers: Readers) =>
  createRoute({
    method: 'get',
    path: '/trace/back/lots/{lotId}',
    operationId: 'traceLotBack',
    tags: ['trace'],
    summary: 'Trace a lot back to its sources, with exact shares',
    middleware: readers,
    request: { params: z.strictObject({ lotId: Id }) },
    responses: back,
  })

const vineBackRoute = (readers: Readers) =>
  createRoute({
    method: 'get',
    path: '/trace/back/vines/{rowId}/{position}',
    operationId: 'traceVineBack',
    tags: ['trace'],
    summary: 'Trace a vine back to its sources, part by part',
    middleware: readers,
    request: { params: VinePath },
    responses: back,
  })

const forwardRoute = (readers: Readers) =>
  createRoute({
    method: 'get',
    path: '/trace/forward/{kind}/{id}',
    operationId: 'traceForward',
    tags: ['trace'],
    summary: 'Trace forward: every lot, and vines counted by row, that hold anything of this',
    middleware: readers,
    request: {
      params: z.strictObject({
        kind: z.enum(['source', 'lot', 'bath']).describe('what the id is of'),
        id: Id,
      }),
    },
    responses: {
      200: {
        description: 'the trace',
        content: { 'application/json': { schema: ApiTraceForward } },
      },
      ...problems(400, 401, 403, 404, 429),
    },
  })
