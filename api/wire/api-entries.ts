// What a device sends when it pushes entries, and what it is told of each.
import { z } from 'zod'

/** Most entries in one batch. */
export const BATCH_LIMIT = 1000
/** Largest batch, in bytes of the request's body. */
export const BATCH_BYTE_LIMIT = 8 * 1024 * 1024
/** Largest entry, in canonical bytes. */
export const ENTRY_BYTE_LIMIT = 256 * 1024
/** Deepest nesting of arrays and objects in one entry. */
export const ENTRY_DEPTH_LIMIT = 32
/** Most findings told in one answer. */
export const FINDING_LIMIT = 100

/** A batch: entries as they were written, in the order of their device counters. */
export const PushBatch = z.strictObject({
  entries: z.array(z.unknown()).max(BATCH_LIMIT, `send at most ${BATCH_LIMIT} entries at a time`),
})

/** Why an entry is set aside; a closed list, in the order in which it is checked. */
export const SetAsideCode = z.enum([
  'too_deep',
  'not_allowed',
  'bad_signature',
  'revoked_device',
  'not_canonical',
  'too_large',
  'bad_envelope',
  'other_device',
  'unknown_kind',
  'unknown_version',
  'bad_body',
  'id_taken',
])

/** What is wrong with an entry that was set aside, where in it, and how to mend it. */
export const EntryProblem = z
  .strictObject({
    code: SetAsideCode,
    detail: z.string(),
    path: z.string().nullable().describe('where in the entry, as in body.vine.position'),
  })
  .meta({ id: 'EntryProblem' })

/** What became of one entry. */
export const EntryOutcome = z
  .discriminatedUnion('result', [
    z.strictObject({
      id: z.string(),
      result: z.literal('recorded'),
      journalIndex: z.int().min(0),
    }),
    z.strictObject({ id: z.string(), result: z.literal('already recorded') }),
    z.strictObject({
      id: z.string().nullable().describe('the id that the entry claims, if it has one'),
      result: z.literal('set aside'),
      problem: EntryProblem,
    }),
  ])
  .meta({ id: 'EntryOutcome' })

/** A finding that the office must answer. */
export const OpenFinding = z
  .strictObject({ key: z.string(), code: z.string() })
  .meta({ id: 'OpenFinding' })

/** The answer to a batch. Every entry in `results` may leave the device's queue. */
export const PushAnswer = z
  .strictObject({
    results: z.array(EntryOutcome).describe('one for each entry, in the order of the batch'),
    findings: z
      .array(OpenFinding)
      .max(FINDING_LIMIT)
      .describe('findings open now about anything that this batch tells of, by key'),
    moreFindings: z.boolean().describe('true when there are more than the answer shows'),
    settled: z
      .boolean()
      .describe(
        'false when findings could not be worked out now; the entries are kept all the same',
      ),
  })
  .meta({ id: 'PushAnswer' })

export type EntryOutcomeShape = z.infer<typeof EntryOutcome>
export type PushAnswerShape = z.infer<typeof PushAnswer>
