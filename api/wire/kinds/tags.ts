// Entries about physical labels: printed, bound, replaced, spoiled.
import { z } from 'zod'
import { Id, Name, Reason, TagCode, Thing } from '../basics.ts'

/** Most codes in one print. */
export const PRINT_LIMIT = 2000

export const tagKinds = {
  /** Tags left the printer, unbound or as a further copy of a code that exists. */
  'tag.printed': {
    v: 1,
    body: z.strictObject({
      printId: Id,
      payload: z.enum(['field tag', 'leaving label']),
      form: Name.describe('the label form they were printed on'),
      codes: z.array(TagCode).min(1).max(PRINT_LIMIT),
      reprintReason: Reason.nullable().describe('null for the first print of these codes'),
    }),
  },
  /** A tag is put on one thing. */
  'tag.bound': { v: 1, body: z.strictObject({ code: TagCode, thing: Thing }) },
  /** A damaged or lost tag gives way to another on the same thing. */
  'tag.replaced': {
    v: 1,
    body: z.strictObject({ oldCode: TagCode, newCode: TagCode, thing: Thing, reason: Reason }),
  },
  /** A tag is unusable and was destroyed; its code is never used again. */
  'tag.spoiled': { v: 1, body: z.strictObject({ code: TagCode, reason: Reason }) },
} as const
