// Entries about who has the wood.
import { z } from 'zod'
import { Account, EntryId, Id, Name, Note, Reason, Wood } from '../basics.ts'

export const custodyKinds = {
  /** A firm or crew that can supply, hold or receive wood; a later one corrects it. */
  'party.registered': {
    v: 1,
    body: z.strictObject({
      partyId: Id,
      name: Name.describe('the name of a firm or crew, never of a private person'),
      role: z.enum(['supplier', 'customer', 'crew', 'laboratory', 'authority']),
      registrationNumber: Name.nullable(),
      note: Note,
    }),
  },
  /** Wood passes to a crew, person or firm. */
  'wood.handed_over': {
    v: 1,
    body: z.strictObject({ wood: Wood, from: Account, toHolderId: Id, note: Note }),
  },
  /** Whoever was handed wood says that they have it, and how much they counted. */
  'wood.accepted': {
    v: 1,
    body: z.strictObject({
      handoverId: EntryId.describe('the entry by which the wood was handed over'),
      wood: Wood.describe('what was counted on taking over'),
      note: Note,
    }),
  },
  /** Wood comes back from a holder to a place. */
  'wood.returned': {
    v: 1,
    body: z.strictObject({ wood: Wood, fromHolderId: Id, placeId: Id, note: Note }),
  },
  /** Wood is thrown away, for a reason. */
  'wood.discarded': { v: 1, body: z.strictObject({ wood: Wood, from: Account, reason: Reason }) },
} as const
