// Tells the entries made at the vine, of samples that were examined, of sources, and of tags.
import type { Entry } from '#wire/entry.ts'
import type { ThingShape } from '#wire/basics.ts'
import { addressOf, classOf, quantityOf, tagOf, vineOf } from './addresses.ts'
import type { EpcisEvent, OwnValue } from './epcis-shape.ts'
import { ownWords, tell } from './tell.ts'
import { fromBundle } from './tell-lots.ts'
import type { TellersOf } from './tell-lots.ts'
import { accountOf, ownOf } from './tell-wood.ts'

type VineKind =
  | 'graft.made'
  | 'take.checked'
  | 'check.viability'
  | 'check.moisture'
  | 'source.registered'
  | 'source.standing_changed'
  | 'source.tested'
  | 'tag.printed'
  | 'tag.bound'
  | 'tag.replaced'
  | 'tag.spoiled'

export const vineTellers: TellersOf<VineKind> = {
  'graft.made': (entry, host) => {
    const { vine, lotId, bundleId, from, method, budCount, knifeId, tie, note } = entry.body
    return [
      tell(
        entry,
        'AssociationEvent',
        {
          action: 'ADD',
          bizStep: 'installing',
          parentID: vineOf(host, vine),
          childEPCs: [addressOf(host, 'graft', entry.id)],
          childQuantityList: [{ epcClass: classOf(host, lotId, 'bud'), quantity: budCount }],
        },
        {
          method,
          tie,
          knife: knifeId === null ? null : addressOf(host, 'knife', knifeId),
          from: accountOf(host, from),
          note,
          ...fromBundle(host, bundleId),
        },
      ),
    ]
  },
  'take.checked': (entry, host) => {
    const { vine, results, shootLengthMm, note } = entry.body
    const grafts = results.flatMap(({ graftId }) => graftId ?? [])
    const counted = results.map(({ graftId, ...counts }): OwnValue =>
      ownWords({ graft: graftId === null ? null : addressOf(host, 'graft', graftId), ...counts }),
    )
    const things = [...new Set(grafts)].map((id) => addressOf(host, 'graft', id))
    return [
      tell(entry, 'ObjectEvent', inspected([vineOf(host, vine), ...things]), {
        take: counted,
        shootLengthMm,
        note,
      }),
    ]
  },
  'check.viability': (entry, host) => {
    const { method, sampledCount, liveCount, forcedDays } = entry.body
    const words = { method, sampledCount, liveCount, forcedDays }
    return [sampleLooked(entry, host, words), ...sampleUsed(entry, host)]
  },
  'check.moisture': (entry, host) => [
    sampleLooked(entry, host, { moisture: ownOf(entry.body.measured) }),
    ...sampleUsed(entry, host),
  ],
  'source.registered': (entry, host) => {
    const { sourceId, parentSourceId, varietyId, originLotId, vine, ...plain } = entry.body
    const { note, ...about } = plain
    return [
      tell(
        entry,
        'ObjectEvent',
        {
          action: 'ADD',
          bizStep: 'commissioning',
          disposition: 'active',
          epcList: [addressOf(host, 'source', sourceId)],
          ilmd: ownWords({
            ...about,
            variety: addressOf(host, 'variety', varietyId),
            parentSource: parentSourceId && addressOf(host, 'source', parentSourceId),
            originLot: originLotId && addressOf(host, 'lot', originLotId),
            vine: vine && vineOf(host, vine),
          }),
        },
        { note },
      ),
    ]
  },
  'source.standing_changed': (entry, host) => {
    const { sourceId, ...standing } = entry.body
    const seen = { action: 'OBSERVE' as const, bizStep: 'other' }
    const epcList = [addressOf(host, 'source', sourceId)]
    return [tell(entry, 'ObjectEvent', { ...seen, epcList }, standing)]
  },
  'source.tested': (entry, host) => {
    const { sourceId, ...test } = entry.body
    return [tell(entry, 'ObjectEvent', inspected([addressOf(host, 'source', sourceId)]), test)]
  },
  'tag.printed': (entry, host) => {
    const { printId, codes, payload, form, reprintReason } = entry.body
    return [
      tell(
        entry,
        'ObjectEvent',
        {
          action: reprintReason === null ? 'ADD' : 'OBSERVE',
          bizStep: 'encoding',
          epcList: [...new Set(codes)].map((code) => tagOf(host, code)),
        },
        { printId, payload, form, reprintReason },
      ),
    ]
  },
  'tag.bound': (entry, host) => [
    onThing(entry, host, 'ADD', 'installing', entry.body.code, entry.body.thing),
  ],
  'tag.replaced': (entry, host) => {
    const { oldCode, newCode, thing, reason } = entry.body
    return [
      onThing(entry, host, 'DELETE', 'replacing', oldCode, thing, reason),
      onThing(entry, host, 'ADD', 'replacing', newCode, thing, reason),
    ]
  },
  'tag.spoiled': (entry, host) => [
    tell(
      entry,
      'ObjectEvent',
      {
        action: 'DELETE',
        bizStep: 'decommissioning',
        disposition: 'destroyed',
        epcList: [tagOf(host, entry.body.code)],
      },
      { reason: entry.body.reason },
    ),
  ],
}

/** The end of a graft on the vine that `vine` says; the entry itself names only the graft. */
export function tellRemoval(
  entry: Entry<'graft.removed'>,
  host: string,
  vine: { rowId: string; position: number },
): EpcisEvent {
  const { graftId, reason } = entry.body
  return tell(
    entry,
    'AssociationEvent',
    {
      action: 'DELETE',
      bizStep: 'removing',
      parentID: vineOf(host, vine),
      childEPCs: [addressOf(host, 'graft', graftId)],
    },
    { reason },
  )
}

const inspected = (epcList: string[]) => {
  return { action: 'OBSERVE' as const, bizStep: 'inspecting', epcList }
}

type Sampled = Entry<'check.viability'> | Entry<'check.moisture'>

function sampleLooked(entry: Sampled, host: string, words: Record<string, OwnValue | null>) {
  const { lotId, bundleId, note } = entry.body
  const lot = addressOf(host, 'lot', lotId)
  const bundle = bundleId === null ? [] : [addressOf(host, 'bundle', bundleId)]
  return tell(entry, 'ObjectEvent', inspected([lot, ...bundle]), { ...words, note })
}

/** Wood that an examination used up is gone. */
function sampleUsed(entry: Sampled, host: string): EpcisEvent[] {
  const { lotId, bundleId, used } = entry.body
  if (used === null) return []
  const wood = { lotId, bundleId, unit: used.unit, count: used.count }
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
      { from: accountOf(host, used.from), ...fromBundle(host, bundleId) },
    ),
  ]
}

/** A tag hangs on a thing, or no longer. */
function onThing(
  entry: Entry,
  host: string,
  action: 'ADD' | 'DELETE',
  bizStep: 'installing' | 'replacing',
  code: string,
  thing: ThingShape,
  reason: string | null = null,
): EpcisEvent {
  const parentID = addressOf(host, thing.kind, thing.id)
  const childEPCs = [tagOf(host, code)]
  return tell(entry, 'AssociationEvent', { action, bizStep, parentID, childEPCs }, { reason })
}
