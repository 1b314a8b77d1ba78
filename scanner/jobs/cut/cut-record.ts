// A cut that is not saved yet, as the phone remembers it: a scanned tag is not lost with the tab.
import { z } from 'zod'
import { Account, Id, Name, TagCode } from '#wire/basics.ts'
import { BUNDLE_LIMIT } from '#wire/kinds/lots.ts'

/** Sticks on which the usable buds are counted, at most. */
export const SAMPLE_LIMIT = 20

const Sticks = z.int().min(1).max(1_000_000)

/** Everything that was said so far; null is not said yet. */
export const CutRecord = z.strictObject({
  lotId: Id,
  sourceId: Id,
  reference: Name.max(40),
  material: z.enum(['scion wood', 'rootstock wood']).nullable(),
  harvestYear: z.int().min(1800).max(2099),
  sticks: Sticks.nullable(),
  sample: z.array(z.int().min(0).max(30)).max(SAMPLE_LIMIT),
  isSampled: z.boolean(),
  each: Sticks.nullable(),
  bundles: z
    .array(z.strictObject({ bundleId: Id, code: TagCode, sticks: Sticks }))
    .max(BUNDLE_LIMIT),
  lotCode: TagCode.nullable(),
  isTagged: z.boolean(),
  to: Account.nullable(),
})
export type CutRecord = z.infer<typeof CutRecord>

/** Where it is kept. */
export const CUT_KEY = 'cut.begun'

/** A cut of a source, begun now. */
export function newCut(
  given: Pick<CutRecord, 'lotId' | 'sourceId' | 'reference' | 'harvestYear'>,
): CutRecord {
  return {
    ...given,
    material: null,
    sticks: null,
    sample: [],
    isSampled: false,
    each: null,
    bundles: [],
    lotCode: null,
    isTagged: false,
    to: null,
  }
}
