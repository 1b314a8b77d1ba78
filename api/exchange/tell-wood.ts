// Tells the entries about wood that lies, soaks, is treated, changes hands or is thrown away.
import type { AccountShape } from '#wire/basics.ts'
import { addressOf, placeOf, quantityOf } from './addresses.ts'
import type { Destination, OwnValue, Source } from './epcis-shape.ts'
import { ownWords, tell } from './tell.ts'
import { fromBundle, summed } from './tell-lots.ts'
import type { TellersOf } from './tell-lots.ts'

type WoodKind =
  | 'stay.began'
  | 'bath.filled'
  | 'bath.emptied'
  | 'soak.began'
  | 'soak.ended'
  | 'treatment.done'
  | 'wood.handed_over'
  | 'wood.accepted'
  | 'wood.returned'
  | 'wood.discarded'

export const woodTellers: TellersOf<WoodKind> = {
  'stay.began': (entry, host) => {
    const { wood, from, placeId } = entry.body
    return [
      tell(
        entry,
        'ObjectEvent',
        {
          action: 'OBSERVE',
          bizStep: 'storing',
          quantityList: quantityOf(host, wood),
          bizLocation: { id: addressOf(host, 'place', placeId) },
        },
        { from: accountOf(host, from), ...fromBundle(host, wood.bundleId) },
      ),
    ]
  },
  'bath.filled': (entry, host) => {
    const { bathId, placeId, ...water } = entry.body
    return [
      tell(
        entry,
        'ObjectEvent',
        {
          action: 'ADD',
          bizStep: 'commissioning',
          epcList: [addressOf(host, 'bath', bathId)],
          readPoint: { id: addressOf(host, 'place', placeId) },
        },
        { ...water },
      ),
    ]
  },
  'bath.emptied': (entry, host) => [
    tell(entry, 'ObjectEvent', {
      action: 'DELETE',
      bizStep: 'decommissioning',
      epcList: [addressOf(host, 'bath', entry.body.bathId)],
    }),
  ],
  'soak.began': (entry, host) => {
    const { wood, from, bathId } = entry.body
    return [
      tell(
        entry,
        'ObjectEvent',
        {
          action: 'OBSERVE',
          bizStep: 'storing',
          quantityList: quantityOf(host, wood),
          bizLocation: { id: addressOf(host, 'bath', bathId) },
        },
        { soak: 'began', from: accountOf(host, from), ...fromBundle(host, wood.bundleId) },
      ),
    ]
  },
  'soak.ended': (entry, host) => {
    const { wood, bathId, to } = entry.body
    return [
      tell(
        entry,
        'ObjectEvent',
        {
          action: 'OBSERVE',
          bizStep: 'storing',
          quantityList: quantityOf(host, wood),
          readPoint: { id: addressOf(host, 'bath', bathId) },
          ...placeOf(host, to),
        },
        { soak: 'ended', to: accountOf(host, to), ...fromBundle(host, wood.bundleId) },
      ),
    ]
  },
  'treatment.done': (entry, host) => {
    const { treated, bathId, placeId, done, note } = entry.body
    const at = placeId ?? bathId
    return [
      tell(
        entry,
        'ObjectEvent',
        {
          action: 'OBSERVE',
          bizStep: 'other',
          quantityList: summed(treated.flatMap((wood) => quantityOf(host, wood))),
          ...(at === null
            ? {}
            : { readPoint: { id: addressOf(host, placeId === null ? 'bath' : 'place', at) } }),
        },
        { treatment: ownOf(done), note },
      ),
    ]
  },
  'wood.handed_over': (entry, host) => {
    const { wood, from, toHolderId, note } = entry.body
    return [
      tell(
        entry,
        'ObjectEvent',
        {
          action: 'OBSERVE',
          bizStep: 'shipping',
          disposition: 'in_transit',
          quantityList: quantityOf(host, wood),
          sourceList: [sourceOf(host, from)],
          destinationList: [holderTo(host, toHolderId)],
        },
        { note, ...fromBundle(host, wood.bundleId) },
      ),
    ]
  },
  'wood.accepted': (entry, host) => {
    const { handoverId, wood, note } = entry.body
    return [
      tell(
        entry,
        'ObjectEvent',
        {
          action: 'OBSERVE',
          bizStep: 'receiving',
          disposition: 'in_progress',
          quantityList: quantityOf(host, wood),
        },
        { handoverId, note, ...fromBundle(host, wood.bundleId) },
      ),
    ]
  },
  'wood.returned': (entry, host) => {
    const { wood, fromHolderId, placeId, note } = entry.body
    const place = addressOf(host, 'place', placeId)
    const holder = addressOf(host, 'holder', fromHolderId)
    return [
      tell(
        entry,
        'ObjectEvent',
        {
          action: 'OBSERVE',
          bizStep: 'receiving',
          disposition: 'in_progress',
          quantityList: quantityOf(host, wood),
          bizLocation: { id: place },
          sourceList: [{ type: 'possessing_party', source: holder }],
          destinationList: [{ type: 'location', destination: place }],
        },
        { note, ...fromBundle(host, wood.bundleId) },
      ),
    ]
  },
  'wood.discarded': (entry, host) => {
    const { wood, from, reason } = entry.body
    return [
      tell(
        entry,
        'ObjectEvent',
        {
          action: 'DELETE',
          bizStep: 'destroying',
          disposition: 'destroyed',
          quantityList: quantityOf(host, wood),
        },
        { from: accountOf(host, from), reason, ...fromBundle(host, wood.bundleId) },
      ),
    ]
  },
}

/** An account as an address; what is unknown is not told. */
export function accountOf(host: string, { kind, id }: AccountShape): string | null {
  if (kind === 'unknown') return null
  return addressOf(host, kind === 'supplier' ? 'party' : kind, id)
}

const holderTo = (host: string, id: string): Destination => {
  return { type: 'possessing_party', destination: addressOf(host, 'holder', id) }
}

function sourceOf(host: string, from: AccountShape): Source {
  const source = accountOf(host, from) ?? addressOf(host, 'place', from.id)
  const isParty = from.kind === 'holder' || from.kind === 'supplier'
  return { type: isParty ? 'possessing_party' : 'location', source }
}

/** A body of ours as own words, group by group; what is null is left out. */
export function ownOf(value: object): OwnValue {
  const words = Object.entries(value).map(([word, inner]: [string, unknown]) => [
    word,
    inner === null ? null : ownValue(inner),
  ])
  return ownWords(Object.fromEntries(words) as Record<string, OwnValue | null>)
}

function ownValue(value: unknown): OwnValue {
  if (Array.isArray(value)) return value.map(ownValue)
  if (typeof value === 'object' && value !== null) return ownOf(value)
  return value as OwnValue
}
