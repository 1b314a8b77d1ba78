// Traces as the machine API tells of them: what a thing is made of, and what came of it.
import { z } from 'zod'
import { ApiId, ApiTime } from './api-lots.ts'

const text = z.string().nullable()

/** A source that a trace reached. */
export const ApiTracedSource = z
  .object({
    sourceId: ApiId,
    name: z.string(),
    level: z.string(),
    registryNumber: text,
    variety: text,
    clone: text,
    scheme: text,
    class: text,
    held: z.boolean(),
  })
  .meta({ id: 'TracedSource' })

/** A lot that a trace reached. */
export const ApiTracedLot = z
  .object({
    lotId: ApiId,
    reference: z.string(),
    madeBy: z.string(),
    variety: text,
    clone: text,
    class: text,
    sourceId: ApiId.nullable(),
    madeAt: ApiTime,
    held: z.boolean(),
  })
  .meta({ id: 'TracedLot' })

const reached = {
  ids: z.array(ApiId).describe('everything reached, the start included'),
  edges: z
    .array(z.object({ fromId: ApiId, toId: ApiId, how: z.string() }))
    .describe('each step walked: `toId` came of `fromId`'),
  sources: z.array(ApiTracedSource),
  lots: z.array(ApiTracedLot),
  unknown: z.array(ApiId).describe('ids that entries use and none describes'),
}

/** A part of a vine where a trace back starts: a graft, or a layer of its trunk. */
export const ApiVinePart = z
  .object({
    part: z.enum(['graft', 'rootstock', 'interstock']),
    graftId: ApiId.nullable(),
    originKind: z.enum(['lot', 'source', 'unknown']),
    originId: ApiId.nullable(),
    variety: text,
    method: text,
    budCount: z.int().nullable(),
    at: ApiTime.nullable(),
    plantedYear: z.int().nullable(),
  })
  .meta({ id: 'VinePart' })

/** A share of a lot, exact: whole numbers in digits, for they may be larger than a double holds. */
export const ApiShare = z
  .object({
    sourceId: ApiId.nullable().describe('null says that the origin is unknown'),
    firstLotId: ApiId,
    numerator: z.string().regex(/^\d+$/),
    denominator: z.string().regex(/^[1-9]\d*$/),
  })
  .meta({ id: 'OriginShare' })

/** What a lot or vine is made of, back to its sources. */
export const ApiTraceBack = z
  .object({
    ...reached,
    parts: z.array(ApiVinePart).describe('for a vine: every part over the years'),
    shares: z
      .array(
        z.object({
          lotId: ApiId,
          origins: z.array(ApiShare).describe('these add up to exactly 1'),
          problem: text.describe('why no shares can be told'),
        }),
      )
      .describe('for each lot of the start'),
  })
  .meta({ id: 'TraceBack' })

/** Everything that holds anything of a source, lot or bath. */
export const ApiTraceForward = z
  .object({
    ...reached,
    rows: z.array(
      z.object({
        rowId: ApiId,
        rowLabel: text,
        blockId: ApiId.nullable(),
        block: text,
        vines: z.int(),
        grafts: z.int(),
        buds: z.int(),
      }),
    ),
  })
  .meta({ id: 'TraceForward' })
