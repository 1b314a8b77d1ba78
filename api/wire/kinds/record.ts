// Entries about the record itself: holds, answers to findings, withdrawals.
import { z } from 'zod'
import { EntryId, Id, Name, Reason } from '../basics.ts'

export const recordKinds = {
  /** Use is stopped for a lot, source, bath or place. */
  'hold.placed': {
    v: 1,
    body: z.strictObject({
      holdId: Id,
      on: z.strictObject({ kind: z.enum(['lot', 'source', 'bath', 'place']), id: Id }),
      agent: Name.nullable().describe('the health agent whose routes the hold follows, if any'),
      reason: Reason,
    }),
  },
  /** A hold is lifted: the entry's person asked for it, a second person agreed. */
  'hold.lifted': {
    v: 1,
    body: z.strictObject({
      holdId: Id,
      reason: Reason,
      secondPersonId: Id.nullable().describe('who agreed; null where one person may lift a hold'),
    }),
  },
  /** A person answers what the records show. */
  'finding.answered': {
    v: 1,
    body: z.strictObject({ findingKey: Name, answer: Reason }),
  },
  /** An earlier entry was a mistake and counts no more; it still shows. */
  'entry.withdrawn': { v: 1, body: z.strictObject({ entryId: EntryId, reason: Reason }) },
} as const
