// The EPCIS 2.0 documents that the machine API takes in and hands out, and what it answers.
import { z } from 'zod'
import { Unit } from './basics.ts'

/** Most events in one document that is taken in. */
export const EPCIS_EVENT_LIMIT = 5000
/** Largest document that is taken in, in bytes. */
export const EPCIS_BYTE_LIMIT = 4 * 1024 * 1024
/** Most lots that one document brings. */
export const EPCIS_LOT_LIMIT = 200

const address = z.string().min(1).max(500)
const quantities = z
  .array(z.looseObject({ epcClass: address, quantity: z.number().optional() }))
  .max(1000)
  .optional()
const addresses = z.array(address).max(2000).optional()

const event = z
  .looseObject({
    type: z.enum([
      'ObjectEvent',
      'AggregationEvent',
      'TransactionEvent',
      'TransformationEvent',
      'AssociationEvent',
    ]),
    eventTime: z.string().regex(/^\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d(\.\d+)?(Z|[+-]\d\d:\d\d)$/),
    eventTimeZoneOffset: z.string().regex(/^[+-](0\d|1[0-4]):[0-5]\d$/),
    eventID: address.optional(),
    action: z.enum(['ADD', 'OBSERVE', 'DELETE']).optional(),
    bizStep: address.optional(),
    parentID: address.optional(),
    epcList: addresses,
    quantityList: quantities,
    childQuantityList: quantities,
    inputQuantityList: quantities,
    outputEPCList: addresses,
    outputQuantityList: quantities,
    destinationList: z
      .array(z.looseObject({ type: address, destination: address }))
      .max(20)
      .optional(),
    ilmd: z.record(z.string(), z.unknown()).optional(),
  })
  .describe('an event; fields that are not named here are read over')

/** A document as it must be to be read at all. */
export const EpcisDelivery = z.looseObject({
  '@context': z.union([address, z.array(z.unknown()).max(20), z.record(z.string(), z.unknown())]),
  type: z.literal('EPCISDocument'),
  schemaVersion: z.string().max(20),
  creationDate: z.string().max(40),
  epcisBody: z.looseObject({ eventList: z.array(event).max(EPCIS_EVENT_LIMIT) }),
})

export type EpcisDeliveryShape = z.infer<typeof EpcisDelivery>
export type EpcisDeliveryEvent = z.infer<typeof event>

/** What became of a document. */
export const EpcisTaken = z
  .strictObject({
    recorded: z.int().min(0).describe('lots that are new'),
    alreadyRecorded: z.int().min(0).describe('lots that this or an earlier document brought'),
    lots: z.array(
      z.strictObject({
        lotId: z.string(),
        reference: z.string(),
        unit: Unit,
        count: z.int(),
        entryId: z.string().nullable().describe('null for a lot that was there already'),
      }),
    ),
    notTaken: z
      .array(z.strictObject({ field: z.string(), why: z.string() }))
      .describe('lots in the document that were not taken in'),
    leftOut: z
      .array(z.strictObject({ what: z.string(), events: z.int() }))
      .describe('events that were read and tell nothing that is taken in'),
  })
  .meta({ id: 'EpcisTaken' })

export type EpcisTakenShape = z.infer<typeof EpcisTaken>

/** A document as we hand it out; docs/exchange.md says what stands in it. */
export const ApiEpcisDocument = z
  .looseObject({
    '@context': z.array(z.unknown()),
    id: z.string(),
    type: z.literal('EPCISDocument'),
    schemaVersion: z.string(),
    creationDate: z.string(),
    epcisBody: z.strictObject({ eventList: z.array(z.record(z.string(), z.unknown())) }),
  })
  .meta({ id: 'EpcisDocument' })
