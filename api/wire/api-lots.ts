// Lots as the machine API tells of them.
import { z } from 'zod'

const text = z.string().nullable()
const year = z.int().nullable()
/** A time in UTC, as in 2027-02-03T14:05:00.000Z. */
export const ApiTime = z.iso.datetime()
/** An id that the API gives out. */
export const ApiId = z.string()

/** A lot in a list: whole sticks and buds still at hand, anywhere, and buds set on vines. */
export const ApiLotLine = z
  .object({
    lotId: ApiId,
    reference: z.string(),
    madeBy: z.string(),
    material: text,
    variety: text,
    clone: text,
    class: text,
    source: text,
    madeAt: ApiTime,
    sticks: z.int(),
    buds: z.int(),
    budEquivalents: z.int().describe('sticks times the buds on a stick, plus loose buds'),
    budsSet: z.int(),
    held: z.boolean().describe('a hold stands on the lot or on its source'),
  })
  .meta({ id: 'LotLine' })

/** A page of lots, newest first. */
export const ApiLotPage = z
  .object({
    lots: z.array(ApiLotLine),
    nextPage: z.int().nullable().describe('the page to ask for next; null when this is the last'),
  })
  .meta({ id: 'LotPage' })

/** What the first entry that made a lot says it is. */
export const ApiLotIdentity = z
  .object({
    reference: z.string(),
    madeBy: z.string(),
    material: text,
    varietyId: text,
    variety: text,
    clone: text,
    scheme: text,
    class: text,
    harvestYear: year,
    budsPerStick: z.int().nullable(),
    sourceId: text,
    source: text,
    supplierId: text,
    supplier: text,
    supplierReference: text,
    passportCode: text,
    note: z.string(),
    occurredAt: ApiTime,
    personId: ApiId,
    makings: z.int().describe('how many entries claim to have made it; more than one is a finding'),
  })
  .meta({ id: 'LotIdentity' })

/** A lot at the other end of a split or combination. */
export const ApiRelatedLot = z
  .object({ lotId: ApiId, reference: text, madeBy: text, budEquivalents: z.int() })
  .meta({ id: 'RelatedLot' })

/** What one account of the books holds of a lot. */
export const ApiHolding = z
  .object({
    accountKind: z.string(),
    accountId: ApiId,
    name: text,
    sticks: z.int(),
    buds: z.int(),
    budEquivalents: z.int(),
    lastMovedAt: ApiTime,
  })
  .meta({ id: 'Holding' })

/** A bundle as it was tied, its tags, and where its wood is. */
export const ApiBundle = z
  .object({
    bundleId: ApiId,
    number: z.int().nullable(),
    unit: text,
    count: z.int().nullable(),
    tags: z.array(z.object({ code: z.string(), boundAt: ApiTime, endedHow: text })),
    holdings: z.array(ApiHolding),
  })
  .meta({ id: 'Bundle' })

/** A hold that stands. */
export const ApiHold = z
  .object({
    holdId: ApiId,
    agent: text,
    reason: z.string(),
    placedAt: ApiTime,
    personId: ApiId,
  })
  .meta({ id: 'Hold' })

/** How much of a lot is set in one row. */
export const ApiLotRow = z
  .object({
    rowId: ApiId,
    rowLabel: text,
    blockId: text,
    block: text,
    vines: z.int(),
    grafts: z.int(),
    budsSet: z.int(),
    removed: z.int(),
    firstAt: ApiTime,
    lastAt: ApiTime,
  })
  .meta({ id: 'LotRow' })

/** One lot whole; `identity` is null when entries use it but none made it. */
export const ApiLot = z
  .object({
    lotId: ApiId,
    identity: ApiLotIdentity.nullable(),
    parents: z.array(ApiRelatedLot),
    children: z.array(ApiRelatedLot),
    holds: z.array(ApiHold),
    bundles: z.array(ApiBundle),
    loose: z.array(ApiHolding).describe('wood that is in no bundle, by account'),
    balance: z.array(ApiHolding).describe('the whole lot by account; adds up to nothing'),
    grafts: z.array(ApiLotRow),
  })
  .meta({ id: 'Lot' })
