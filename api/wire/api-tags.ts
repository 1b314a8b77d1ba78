// A tag as the machine API tells of it.
import { z } from 'zod'
import { ApiId, ApiTime } from './api-lots.ts'

const text = z.string().nullable()

/** What a code is on, and what became of it. */
export const ApiTag = z
  .object({
    code: z.string(),
    thingKind: text.describe('null while the code is on nothing'),
    thingId: ApiId.nullable(),
    thingName: text,
    lotId: ApiId.nullable().describe('the lot that it is on, or whose bundle it is on'),
    lotReference: text,
    bundleNumber: z.int().nullable(),
    variety: text,
    clone: text,
    class: text,
    boundAt: ApiTime.nullable(),
    endedHow: text.describe('replaced or spoiled; null while the tag is good'),
    endedReason: text,
    endedAt: ApiTime.nullable(),
    replacedBy: text,
    prints: z.int(),
    lastPayload: text,
  })
  .meta({ id: 'Tag' })
