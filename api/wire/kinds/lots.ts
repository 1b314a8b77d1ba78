// Entries by which lots come to be: cut, received, split, combined.
import { z } from 'zod'
import { Account, Count, Id, Material, Name, Note, Reason } from '../basics.ts'
import { Unit, Year } from '../basics.ts'

/** Most bundles tied from one lot in one entry. */
export const BUNDLE_LIMIT = 500
/** Most lots that one entry splits into or combines. */
export const PART_LIMIT = 50

/** A tied, tagged part of a lot. */
export const Bundle = z.strictObject({ bundleId: Id, unit: Unit, count: Count })

const Reference = Name.max(40).describe('the lot reference number that people read and write')

const identity = {
  material: Material,
  varietyId: Id,
  clone: Name.nullable(),
  scheme: Name.nullable(),
  class: Name.nullable(),
  harvestYear: Year.describe('the year in which the wood grew'),
  budsPerStick: z.int().min(0).max(30).describe('usable buds on a stick, counted on a sample'),
}

export const lotKinds = {
  /** Wood of one variety, clone, class and origin is cut in one go and becomes a lot. */
  'lot.cut': {
    v: 1,
    body: z.strictObject({
      lotId: Id,
      reference: Reference,
      ...identity,
      sourceId: Id,
      sticks: Count,
      bundles: z.array(Bundle).max(BUNDLE_LIMIT),
      to: Account,
      note: Note,
    }),
  },
  /** A lot comes in from outside. */
  'lot.received': {
    v: 1,
    body: z.strictObject({
      lotId: Id,
      reference: Reference,
      ...identity,
      supplierId: Id,
      supplierReference: Name.nullable(),
      passportCode: Name.nullable().describe('traceability code of the plant passport, if any'),
      sourceId: Id.nullable().describe('null says that the origin is unknown'),
      unit: Unit,
      count: Count,
      bundles: z.array(Bundle).max(BUNDLE_LIMIT),
      to: Account,
      note: Note,
    }),
  },
  /** A lot is parted; each part is a lot with the parent's identity, stated here again. */
  'lot.split': {
    v: 1,
    body: z.strictObject({
      ...identity,
      parentLotId: Id,
      parentBundleId: Id.nullable(),
      from: Account,
      parts: z
        .array(
          z.strictObject({
            lotId: Id,
            reference: Reference,
            unit: Unit,
            count: Count,
            bundles: z.array(Bundle).max(BUNDLE_LIMIT),
          }),
        )
        .min(1)
        .max(PART_LIMIT),
      reason: Reason,
    }),
  },
  /** Several lots become one; its origin is a set of shares. */
  'lot.combined': {
    v: 1,
    body: z.strictObject({
      lotId: Id,
      reference: Reference,
      ...identity,
      parents: z
        .array(
          z.strictObject({
            lotId: Id,
            bundleId: Id.nullable(),
            unit: Unit,
            count: Count,
            budEquivalents: Count.describe('what this part brings, for its share: buds, or sticks'),
            from: Account,
          }),
        )
        .min(2)
        .max(PART_LIMIT),
      bundles: z.array(Bundle).max(BUNDLE_LIMIT),
      to: Account,
      reason: Reason,
    }),
  },
} as const
