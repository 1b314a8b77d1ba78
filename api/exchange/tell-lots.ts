// Tells the entries by which lots come to be: cut, received, split, combined; and their bundles.
import type { Entry } from '#wire/entry.ts'
import { addressOf, classOf, nurseryOf, placeOf } from './addresses.ts'
import type { EpcisEvent, OwnValue, Quantity } from './epcis-shape.ts'
import { ownWords, tell } from './tell.ts'
import type { OwnWords } from './tell.ts'

/** Turns entries of one kind into events at a host. */
export type TellersOf<K extends Entry['kind']> = {
  [P in K]: (entry: Entry<P>, host: string) => EpcisEvent[]
}

type Identity = Pick<
  Entry<'lot.cut'>['body'],
  'material' | 'varietyId' | 'clone' | 'scheme' | 'class' | 'harvestYear' | 'budsPerStick'
>
type Bundle = Entry<'lot.cut'>['body']['bundles'][number]
type LotKind = 'lot.cut' | 'lot.received' | 'lot.split' | 'lot.combined'

export const lotTellers: TellersOf<LotKind> = {
  'lot.cut': (entry, host) => {
    const { body } = entry
    const { lotId, sourceId, sticks, to } = body
    const words = { reference: body.reference, source: addressOf(host, 'source', sourceId) }
    const made = tell(
      entry,
      'ObjectEvent',
      {
        ...newLot(host, lotId, { unit: 'stick', count: sticks }, masterData(host, body, words)),
        readPoint: { id: addressOf(host, 'source', sourceId) },
        ...placeOf(host, to),
      },
      { note: body.note },
    )
    return [made, ...tied(entry, host, lotId, body.bundles)]
  },
  'lot.received': (entry, host) => {
    const { body } = entry
    const { lotId, unit, count } = body
    const source = body.sourceId === null ? null : addressOf(host, 'source', body.sourceId)
    const words = { reference: body.reference, source, passportCode: body.passportCode }
    const supplier = addressOf(host, 'party', body.supplierId)
    const made = tell(entry, 'ObjectEvent', {
      ...newLot(host, lotId, { unit, count }, masterData(host, body, words)),
    })
    const received = tell(
      entry,
      'ObjectEvent',
      {
        action: 'OBSERVE',
        bizStep: 'receiving',
        disposition: 'in_progress',
        quantityList: [{ epcClass: classOf(host, lotId, unit), quantity: count }],
        ...placeOf(host, body.to),
        sourceList: [{ type: 'owning_party', source: supplier }],
        destinationList: [{ type: 'owning_party', destination: nurseryOf(host) }],
      },
      { supplierReference: body.supplierReference, note: body.note },
    )
    return [made, received, ...tied(entry, host, lotId, body.bundles)]
  },
  'lot.split': (entry, host) => {
    const { body } = entry
    return body.parts.flatMap((part) => [
      tell(
        entry,
        'TransformationEvent',
        {
          inputQuantityList: [
            { epcClass: classOf(host, body.parentLotId, part.unit), quantity: part.count },
          ],
          ...transformed(host, part.lotId, [part]),
          ilmd: masterData(host, body, { reference: part.reference }),
        },
        { reason: body.reason, ...fromBundle(host, body.parentBundleId) },
      ),
      ...tied(entry, host, part.lotId, part.bundles),
    ])
  },
  'lot.combined': (entry, host) => {
    const { body } = entry
    const made = tell(
      entry,
      'TransformationEvent',
      {
        inputQuantityList: summed(
          body.parents.map((one) => ({
            epcClass: classOf(host, one.lotId, one.unit),
            quantity: one.count,
          })),
        ),
        ...transformed(host, body.lotId, body.parents),
        ...placeOf(host, body.to),
        ilmd: masterData(host, body, { reference: body.reference }),
      },
      {
        reason: body.reason,
        share: body.parents.map((one): OwnValue =>
          ownWords({
            lot: addressOf(host, 'lot', one.lotId),
            budEquivalents: one.budEquivalents,
            ...fromBundle(host, one.bundleId),
          }),
        ),
      },
    )
    return [made, ...tied(entry, host, body.lotId, body.bundles)]
  },
}

type Amount = { unit: 'stick' | 'bud'; count: number }

/** A lot is one thing with an address, and so many sticks or buds of its class. */
function newLot(host: string, lotId: string, { unit, count }: Amount, ilmd: Words) {
  return {
    action: 'ADD' as const,
    bizStep: 'commissioning',
    disposition: 'active',
    epcList: [addressOf(host, 'lot', lotId)],
    quantityList: [{ epcClass: classOf(host, lotId, unit), quantity: count }],
    ilmd,
  }
}

/** A lot that comes of others; one of sticks and buds together has an amount of each. */
function transformed(host: string, lotId: string, amounts: Amount[]) {
  return {
    outputEPCList: [addressOf(host, 'lot', lotId)],
    outputQuantityList: summed(
      amounts.map(({ unit, count }) => ({ epcClass: classOf(host, lotId, unit), quantity: count })),
    ),
    bizStep: 'commissioning',
    disposition: 'active',
  }
}

type Words = Record<string, OwnValue>

/** What a lot is: told with the event that makes it, and by that alone. */
function masterData(host: string, identity: Identity, more: OwnWords): Words {
  return ownWords({
    material: identity.material,
    variety: addressOf(host, 'variety', identity.varietyId),
    clone: identity.clone,
    scheme: identity.scheme,
    class: identity.class,
    harvestYear: identity.harvestYear,
    budsPerStick: identity.budsPerStick,
    ...more,
  })
}

/** Each bundle is a thing of its own that holds so many sticks or buds. */
function tied(entry: Entry, host: string, lotId: string, bundles: Bundle[]): EpcisEvent[] {
  return bundles.map(({ bundleId, unit, count }) =>
    tell(entry, 'AggregationEvent', {
      action: 'ADD',
      bizStep: 'packing',
      parentID: addressOf(host, 'bundle', bundleId),
      childQuantityList: [{ epcClass: classOf(host, lotId, unit), quantity: count }],
    }),
  )
}

/** The bundle that wood was taken from, as a word of ours; nothing for loose wood. */
export function fromBundle(host: string, bundleId: string | null): OwnWords {
  return bundleId === null ? {} : { bundle: addressOf(host, 'bundle', bundleId) }
}

/** Amounts of one class added up, in the order in which the classes first come. */
export function summed(quantities: Quantity[]): Quantity[] {
  const totals = new Map<string, number>()
  for (const { epcClass, quantity = 0 } of quantities) {
    totals.set(epcClass, (totals.get(epcClass) ?? 0) + quantity)
  }
  return [...totals].map(([epcClass, quantity]) => ({ epcClass, quantity }))
}
