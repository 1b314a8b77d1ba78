// Entries made at the vine: grafts, skips, removals and what was seen to grow later.
import { z } from 'zod'
import { Account, Count, CountOrNone, Id, Name, Note, Reason, VineAddress } from '../basics.ts'

export const graftingKinds = {
  /** One attempt on one vine with buds of one lot; the entry's id is the graft's id. */
  'graft.made': {
    v: 1,
    body: z.strictObject({
      vine: VineAddress,
      lotId: Id,
      bundleId: Id.nullable(),
      from: Account.describe('who or what held the wood'),
      method: Name,
      budCount: Count.max(20),
      knifeId: Id.nullable(),
      tie: Name.nullable(),
      note: Note,
    }),
  },
  /** A vine is passed over. */
  'vine.skipped': { v: 1, body: z.strictObject({ vine: VineAddress, reason: Reason }) },
  /** A graft is cut off, or broken and gone. */
  'graft.removed': { v: 1, body: z.strictObject({ graftId: Id, reason: Reason }) },
  /** A blade is disinfected: what it touched before ends here. */
  'tool.disinfected': {
    v: 1,
    body: z.strictObject({
      knifeId: Id.nullable().describe('null for the blade in the hand of this person'),
      disinfectant: Name.nullable(),
      vine: VineAddress.nullable().describe('the vine that was worked last, if any'),
      note: Note,
    }),
  },
  /** The tie of a graft is slit or taken off. */
  'tie.released': {
    v: 1,
    body: z.strictObject({
      vine: VineAddress,
      graftId: Id.nullable().describe('null for every graft on the vine'),
      note: Note,
    }),
  },
  /** A later look at one vine: how many buds grow, are callused but still, or failed. */
  'take.checked': {
    v: 1,
    body: z.strictObject({
      vine: VineAddress,
      results: z
        .array(
          z.strictObject({
            graftId: Id.nullable().describe('null when the buds were not told apart by graft'),
            growing: CountOrNone.max(20),
            callused: CountOrNone.max(20),
            failed: CountOrNone.max(20),
          }),
        )
        .min(1)
        .max(10),
      shootLengthMm: z.int().min(0).max(10_000).nullable(),
      note: Note,
    }),
  },
} as const
