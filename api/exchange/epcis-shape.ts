// The shapes of an EPCIS document as we write it.

/** Values of our own words: texts, numbers, and groups and lists of them. */
export type OwnValue = string | number | boolean | OwnValue[] | { [word: string]: OwnValue }

/** A counted amount of one class of things; without a unit it is a count. */
export type Quantity = { epcClass: string; quantity?: number; uom?: string }
export type Party = { type: 'owning_party' | 'possessing_party' | 'location' }
export type Source = Party & { source: string }
export type Destination = Party & { destination: string }
export type Where = { id: string }

/** That an event was told by mistake; it does not change the event's own id. */
export type ErrorDeclaration = {
  declarationTime: string
  reason: 'did_not_occur' | 'incorrect_data'
  correctiveEventIDs?: string[]
} & { [word: `${string}:${string}`]: OwnValue }

/** What events of every type carry. */
type Common = {
  eventTime: string
  eventTimeZoneOffset: string
  recordTime?: string
  eventID?: string
  errorDeclaration?: ErrorDeclaration
  bizStep?: string
  disposition?: string
  readPoint?: Where
  bizLocation?: Where
  bizTransactionList?: { type?: string; bizTransaction: string }[]
  sourceList?: Source[]
  destinationList?: Destination[]
}

export type ObjectEvent = Common & {
  type: 'ObjectEvent'
  action: 'ADD' | 'OBSERVE' | 'DELETE'
  epcList?: string[]
  quantityList?: Quantity[]
  ilmd?: Record<string, OwnValue>
}

export type AggregationEvent = Common & {
  type: 'AggregationEvent'
  action: 'ADD' | 'OBSERVE' | 'DELETE'
  parentID: string
  childEPCs?: string[]
  childQuantityList?: Quantity[]
}

export type AssociationEvent = Common & {
  type: 'AssociationEvent'
  action: 'ADD' | 'OBSERVE' | 'DELETE'
  parentID: string
  childEPCs: string[]
  childQuantityList?: Quantity[]
}

export type TransformationEvent = Common & {
  type: 'TransformationEvent'
  inputEPCList?: string[]
  inputQuantityList?: Quantity[]
  outputEPCList?: string[]
  outputQuantityList?: Quantity[]
  transformationID?: string
  ilmd?: Record<string, OwnValue>
}

/** An event as we write it, with our own words beside those of the standard. */
export type EpcisEvent = (
  ObjectEvent | AggregationEvent | AssociationEvent | TransformationEvent
) & { [word: `${string}:${string}`]: OwnValue }

/** A document as we write it. */
export type EpcisDocument = {
  '@context': [string, Record<string, string>]
  id: string
  type: 'EPCISDocument'
  schemaVersion: string
  creationDate: string
  epcisBody: { eventList: EpcisEvent[] }
} & { [word: `${string}:${string}`]: OwnValue }
