// Reads out of a document of EPCIS events which lots it brings: how many, of what, in what bundles.
import type { EpcisDeliveryEvent, EpcisDeliveryShape } from '#wire/api-epcis.ts'
import type { FieldProblem } from '../platform/errors.ts'
import { eventHashId, isHashable } from './event-hash.ts'
import { declaredPrefixes } from './four-rules.ts'
import { readLotBundles } from './read-bundles.ts'
import type { ReadBundle } from './read-bundles.ts'
import { CBV, OWN_PATH } from './terms.ts'

/** A lot that the document brings, as its words say; nothing is looked up yet. */
export type DeliveredLot = {
  /** Where the event that makes it stands in the document. */
  field: string
  /** The address of the lot, and that of the class in which it was counted. */
  address: string
  epcClass: string
  count: number
  bundles: ReadBundle[]
  /** Our own words about it, by name. */
  words: Record<string, unknown>
}

/** What a document brings. With problems, nothing of it is to be taken in. */
export type Delivery = {
  lots: DeliveredLot[]
  /** Names of things by address, and what firms are to the sender. */
  names: Map<string, { name: string; role: string | null }>
  notTaken: { field: string; why: string }[]
  leftOut: { what: string; events: number }[]
  problems: FieldProblem[]
}

/** An event with its place in the document. */
export type Placed = { event: EpcisDeliveryEvent; field: string }

/**
 * Reads it. A lot is brought by the event that makes it known with our own words in its `ilmd`; how
 * much of it came is what shipping events say that name an owner or a customer as destination, and
 * without any, what was made. An event that was declared wrong does not count.
 */
export function readDelivery(document: EpcisDeliveryShape): Delivery {
  const prefixes = declaredPrefixes(document)
  const own = Object.entries(prefixes).find(([, space]) => space.endsWith(OWN_PATH))?.[0] ?? null
  const events = standing(document)
  const names = readNames(document, own)
  const problems = changedOnTheWay(events, prefixes, own)
  const making = events.filter(({ event }) => makes(event))
  const silent = making.filter(({ event }) => !hasWord(event, own, 'material'))
  problems.push(...silent.map(({ field }) => ({ field: `${field}.ilmd`, message: saysNothing })))
  const read = lotsOf(
    making.filter((one) => !silent.includes(one)),
    events,
    { own, names },
  )
  const taken = new Set(making)
  return {
    lots: read.lots,
    names,
    notTaken: read.notTaken,
    leftOut: countLeftOut(events.filter((one) => !taken.has(one) && !isDelivered(one, names))),
    problems: [...problems, ...read.problems],
  }
}

const saysNothing =
  'this event makes things known and does not say what they are: give material, variety, ' +
  'harvestYear, budsPerStick and reference in ilmd under a name space that ends in ' +
  `${OWN_PATH}, as docs/exchange.md shows, or leave the event out`

/** Events that nobody declared wrong, each with its place. */
function standing(document: EpcisDeliveryShape): Placed[] {
  const events = document.epcisBody.eventList.map((event, nr): Placed => {
    return { event, field: `epcisBody.eventList.${nr}` }
  })
  const wrong = new Set(
    events.flatMap(({ event }) => ('errorDeclaration' in event ? (event.eventID ?? []) : [])),
  )
  return events.filter(({ event }) => {
    return !('errorDeclaration' in event) && !wrong.has(event.eventID ?? '')
  })
}

/** A lot is made by new things of a class, or by what comes out of a transformation. */
function makes(event: EpcisDeliveryEvent): boolean {
  if (event.type === 'TransformationEvent') return (event.outputQuantityList?.length ?? 0) > 0
  return (
    event.type === 'ObjectEvent' && event.action === 'ADD' && (event.quantityList?.length ?? 0) > 0
  )
}

/** An event whose id is a hash must say what its id says; only of events in our own words. */
function changedOnTheWay(
  events: Placed[],
  prefixes: Record<string, string>,
  own: string | null,
): FieldProblem[] {
  return events.flatMap(({ event, field }) => {
    const isOurs = own !== null && `${own}:entryId` in event
    const hash = /^ni:\/\/\/sha-256;[0-9a-f]{64}\?ver=CBV2\.0$/.test(event.eventID ?? '')
    if (!isOurs || !hash || !isHashable(event)) return []
    if (eventHashId(event, prefixes) === event.eventID) return []
    const message =
      'this event does not say what its id was made from: it was changed on the way; ask the ' +
      'sender for the document again'
    return [{ field: `${field}.eventID`, message }]
  })
}

type Reading = { own: string | null; names: Delivery['names'] }

function lotsOf(making: Placed[], events: Placed[], reading: Reading) {
  const shipped = shippedByClass(events, reading.names)
  const used = new Set(
    events.flatMap(({ event }) => (event.inputQuantityList ?? []).map((part) => part.epcClass)),
  )
  const lots: DeliveredLot[] = []
  const notTaken: Delivery['notTaken'] = []
  const problems: FieldProblem[] = []
  const seen = new Set<string>()
  for (const { event, field } of making) {
    const isObject = event.type === 'ObjectEvent'
    const made = (isObject ? event.quantityList : event.outputQuantityList) ?? []
    const things = (isObject ? event.epcList : event.outputEPCList) ?? []
    const [part] = made
    const at = `${field}.${isObject ? 'quantityList' : 'outputQuantityList'}`
    if (part === undefined || made.length > 1 || things.length > 1) {
      const message = 'one event makes one lot, counted in sticks or in buds: part it in events'
      problems.push({ field: at, message })
      continue
    }
    const address = things[0] ?? part.epcClass
    if (seen.has(address)) {
      const message = 'the lot is made by an event before: declare one of the two wrong'
      problems.push({ field: at, message })
      continue
    }
    seen.add(address)
    const came = shipped.get(part.epcClass)
    if (came === undefined && used.has(part.epcClass)) {
      notTaken.push({ field, why: usedUp })
      continue
    }
    const count = came ?? part.quantity ?? 0
    const bundles = readLotBundles(
      events,
      part.epcClass,
      came === undefined || came === part.quantity,
    )
    const words = wordsOf(event.ilmd ?? {}, reading.own)
    lots.push({ field, address, epcClass: part.epcClass, count, bundles, words })
  }
  return { lots, notTaken, problems }
}

const usedUp =
  'other lots are made of it in this document, and no shipping event to an owner says how much ' +
  'of the lot itself came'

/** A step of the standard in any of its spellings, as the plain word. */
export function stepOf({ bizStep = '' }: EpcisDeliveryEvent): string {
  return bizStep
    .replace(`${CBV}BizStep-`, '')
    .replace('cbv:BizStep-', '')
    .replace('urn:epcglobal:cbv:bizstep:', '')
}

function isDelivered({ event }: Placed, names: Delivery['names']): boolean {
  if (stepOf(event) !== 'shipping') return false
  return (event.destinationList ?? []).some(({ type, destination }) => {
    return /owning_party$/.test(type) || names.get(destination)?.role === 'customer'
  })
}

function shippedByClass(events: Placed[], names: Delivery['names']): Map<string, number> {
  const totals = new Map<string, number>()
  for (const placed of events.filter((one) => isDelivered(one, names))) {
    for (const { epcClass, quantity = 0 } of placed.event.quantityList ?? []) {
      totals.set(epcClass, (totals.get(epcClass) ?? 0) + quantity)
    }
  }
  return totals
}

function hasWord(event: EpcisDeliveryEvent, own: string | null, word: string): boolean {
  return own !== null && `${own}:${word}` in (event.ilmd ?? {})
}

function wordsOf(holder: object, own: string | null): Record<string, unknown> {
  const start = `${own ?? ''}:`
  const words = Object.entries(holder).filter(([name]) => name.startsWith(start))
  return Object.fromEntries(words.map(([name, value]) => [name.slice(start.length), value]))
}

function readNames(document: EpcisDeliveryShape, own: string | null): Delivery['names'] {
  const names: Delivery['names'] = new Map()
  const lines = own === null ? null : document[`${own}:names`]
  for (const line of Array.isArray(lines) ? (lines as unknown[]) : []) {
    if (typeof line !== 'object' || line === null) continue
    const { thing, name, role } = wordsOf(line, own)
    if (typeof thing !== 'string' || typeof name !== 'string') continue
    names.set(thing, { name, role: typeof role === 'string' ? role : null })
  }
  return names
}

function countLeftOut(events: Placed[]): Delivery['leftOut'] {
  const counts = new Map<string, number>()
  for (const { event } of events) {
    if (event.type === 'AggregationEvent' && stepOf(event) === 'packing') continue
    const what = `${event.type} ${stepOf(event)}`.trim()
    counts.set(what, (counts.get(what) ?? 0) + 1)
  }
  return [...counts].sort().map(([what, number]) => ({ what, events: number }))
}
