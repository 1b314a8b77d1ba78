// Blocks, rows and vines as the machine API tells of them.
import { z } from 'zod'
import { ApiId, ApiTime } from './api-lots.ts'

const text = z.string().nullable()
const year = z.int().nullable()

/** A block in the list. */
export const ApiBlockLine = z
  .object({
    blockId: ApiId,
    name: z.string(),
    note: z.string(),
    rows: z.int(),
    places: z.int().describe('positions, with and without a vine'),
  })
  .meta({ id: 'BlockLine' })

export const ApiBlockList = z.object({ blocks: z.array(ApiBlockLine) }).meta({ id: 'BlockList' })

/** A tissue of a trunk, from the roots up. */
export const ApiTrunkLayer = z
  .object({
    role: z.enum(['rootstock', 'interstock']),
    varietyId: ApiId,
    variety: text,
    clone: text,
    originKind: z.enum(['lot', 'source', 'unknown']),
    originId: ApiId.nullable(),
  })
  .meta({ id: 'TrunkLayerNow' })

/** A row as it is laid out; positions count from 1 at its head. */
export const ApiRowLayout = z
  .object({
    rowId: ApiId,
    label: z.string(),
    sequence: z.int(),
    positionCount: z.int(),
    headAt: text,
    missing: z.array(z.int()).describe('positions without a vine'),
    laidOutAt: ApiTime,
    sections: z.array(
      z.object({
        fromPosition: z.int(),
        toPosition: z.int(),
        plantedYear: year,
        layers: z.array(ApiTrunkLayer),
      }),
    ),
  })
  .meta({ id: 'RowLayout' })

/** A block with its rows in order. */
export const ApiBlock = z
  .object({
    blockId: ApiId,
    name: z.string(),
    note: z.string(),
    rows: z.array(ApiRowLayout),
  })
  .meta({ id: 'Block' })

/** How a vine stands. */
export const ApiVineState = z.enum([
  'standing',
  'planned',
  'grafted',
  'growing',
  'callused',
  'failed',
  'skipped',
  'removed',
  'missing',
])

/** How one vine of a row stands, in one season or by the last that is known. */
export const ApiVineNow = z
  .object({
    position: z.int(),
    state: ApiVineState,
    season: year,
    variety: text,
    at: ApiTime.nullable().describe('the day of what the state tells'),
    reason: text.describe('why it was skipped or removed'),
    graftId: ApiId.nullable().describe('the latest graft of that season'),
    lotId: ApiId.nullable().describe('the lot of that graft'),
  })
  .meta({ id: 'VineNow' })

/** A row with every vine's state. */
export const ApiRow = z
  .object({
    rowId: ApiId,
    blockId: ApiId,
    block: text,
    layout: ApiRowLayout,
    vines: z.array(ApiVineNow),
    strays: z.array(z.int()).describe('positions that entries tell of and the row does not have'),
    counts: z.record(z.string(), z.int()).describe('how many vines are in each state'),
    seasons: z.array(z.int()),
  })
  .meta({ id: 'Row' })

/** Where a layer came from. */
export const ApiOrigin = z
  .object({ kind: z.enum(['lot', 'source', 'unknown']), id: ApiId.nullable() })
  .meta({ id: 'Origin' })

/** One tissue of a vine, from the roots up. */
export const ApiLayer = z
  .object({
    role: z.enum(['rootstock', 'interstock', 'scion']),
    varietyId: ApiId,
    clone: text,
    origin: ApiOrigin,
    plantedYear: year,
    graftIds: z.array(ApiId),
    established: z.boolean().describe('false for wood that no check has yet found growing'),
  })
  .meta({ id: 'Layer' })

/** One graft on a vine, with the last look at it. */
export const ApiAttempt = z
  .object({
    graftId: ApiId,
    lotId: ApiId,
    method: z.string(),
    budCount: z.int(),
    graftedAt: ApiTime,
    removedAt: ApiTime.nullable(),
    outcome: z.enum(['growing', 'callused', 'failed', 'not checked', 'removed']),
    lastCheck: z
      .object({
        checkedAt: ApiTime,
        growing: z.int(),
        callused: z.int(),
        failed: z.int(),
      })
      .nullable(),
  })
  .meta({ id: 'Attempt' })

/** A position with every vine it had, earliest first; the last is the one that counts now. */
export const ApiVine = z
  .object({
    rowId: ApiId,
    position: z.int(),
    inRow: z.boolean().describe('false when the row, as laid out, has no such position'),
    now: ApiVineNow,
    lives: z.array(
      z.object({
        plantedYear: year,
        layers: z.array(ApiLayer),
        attempts: z.array(ApiAttempt),
      }),
    ),
    sources: z
      .array(z.object({ sourceId: ApiId, name: z.string() }))
      .describe('registered sources that this vine serves as'),
  })
  .meta({ id: 'Vine' })
