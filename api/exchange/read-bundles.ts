// Reads which bundles a lot in a document of EPCIS events is tied into.
import type { EpcisDeliveryEvent } from '#wire/api-epcis.ts'

/** A bundle by its address, and how many sticks or buds it holds. */
export type ReadBundle = { address: string; count: number }

/**
 * The bundles that packing events tie of this class; none when less than the whole lot came, for
 * then the document does not say which of them did.
 */
export function readLotBundles(
  events: readonly { event: EpcisDeliveryEvent }[],
  epcClass: string,
  isWhole: boolean,
): ReadBundle[] {
  if (!isWhole) return []
  return events.flatMap(({ event }) => {
    const { type, action, parentID, childQuantityList = [] } = event
    const [part] = childQuantityList
    const ties = type === 'AggregationEvent' && action === 'ADD' && parentID !== undefined
    if (!ties || childQuantityList.length !== 1 || part?.epcClass !== epcClass) return []
    return [{ address: parentID, count: part.quantity ?? 0 }]
  })
}
