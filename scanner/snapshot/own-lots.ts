// What entries of this phone by which lots come to be state: how they were made, and their wood.
import { NIL_ID } from '#wire/basics.ts'
import type { WoodShape } from '#wire/basics.ts'
import type { EntryBody } from '#wire/entry.ts'
import type { OwnEntry } from '../snapshot-source.ts'
import type { LotMove, Making, Stated } from './own-facts.ts'

type Account = { readonly kind: string; readonly id: string }
type Bundles = EntryBody<'lot.cut'>['bundles']
type Entry<K extends OwnEntry['kind']> = Extract<OwnEntry, { kind: K }>

export const lotMoves = {
  'lot.cut': (entry: Entry<'lot.cut'>): Stated => {
    const { body } = entry
    const { lotId, bundles } = body
    const whole = { lotId, unit: 'stick', count: body.sticks } as const
    return {
      makings: [{ ...making(entry, body), madeBy: 'cut', sourceId: body.sourceId }],
      bundles: bundlesOf(lotId, bundles),
      moves: arrive(whole, bundles, { kind: 'source', id: body.sourceId }, body.to),
    }
  },
  'lot.received': (entry: Entry<'lot.received'>): Stated => {
    const { body } = entry
    const { lotId, bundles } = body
    return {
      makings: [{ ...making(entry, body), madeBy: 'received', sourceId: body.sourceId }],
      bundles: bundlesOf(lotId, bundles),
      moves: arrive(body, bundles, { kind: 'supplier', id: body.supplierId }, body.to),
    }
  },
  'lot.split': (entry: Entry<'lot.split'>): Stated => {
    const { body } = entry
    const { parentLotId, from, parts } = body
    return {
      makings: parts.map((part) => ({
        ...making(entry, { ...body, ...part }),
        madeBy: 'split',
        sourceId: null,
      })),
      parents: parts.map(({ lotId }) => ({ lotId, parentId: parentLotId })),
      bundles: parts.flatMap((part) => bundlesOf(part.lotId, part.bundles)),
      moves: parts.flatMap((part) => {
        const { unit, count } = part
        const wood = { lotId: parentLotId, bundleId: body.parentBundleId, unit, count }
        const leaving = moved(wood, from, { kind: 'lot', id: part.lotId })
        const origin = { kind: 'lot', id: parentLotId }
        return [...leaving, ...arrive(part, part.bundles, origin, from)]
      }),
    }
  },
  'lot.combined': (entry: Entry<'lot.combined'>): Stated => {
    const { body } = entry
    const { lotId, parents, bundles, to } = body
    const left = parents.flatMap((parent) => moved(parent, parent.from, { kind: 'lot', id: lotId }))
    const came = (['stick', 'bud'] as const).flatMap((unit) => {
      const count = parents.reduce((sum, part) => sum + (part.unit === unit ? part.count : 0), 0)
      if (count === 0) return []
      const own = bundles.filter((bundle) => bundle.unit === unit)
      return arrive({ lotId, unit, count }, own, { kind: 'lot', id: NIL_ID }, to)
    })
    return {
      makings: [{ ...making(entry, body), madeBy: 'combined', sourceId: null }],
      parents: parents.map((parent) => ({ lotId, parentId: parent.lotId })),
      bundles: bundlesOf(lotId, bundles),
      moves: [...left, ...came],
    }
  },
}

type Described = {
  lotId: string
  reference: string
  material: string
  varietyId: string
  clone: string | null
  scheme: string | null
  class: string | null
  budsPerStick: number
}

function making(
  { id, occurredAt }: OwnEntry,
  lot: Described,
): Omit<Making, 'madeBy' | 'sourceId'> & { lotId: string } {
  return {
    lotId: lot.lotId,
    entryId: id,
    reference: lot.reference,
    material: lot.material,
    varietyId: lot.varietyId,
    clone: lot.clone,
    scheme: lot.scheme,
    className: lot.class,
    budsPerStick: lot.budsPerStick,
    at: Date.parse(occurredAt),
  }
}

function bundlesOf(lotId: string, bundles: Bundles): NonNullable<Stated['bundles']> {
  return bundles.map(({ bundleId, unit, count }, nr) => {
    return { lotId, bundle: [bundleId, nr + 1, unit, count] }
  })
}

/** The whole quantity arrives: bundle by bundle, and what is left over as loose wood. */
function arrive(
  whole: { readonly lotId: string; readonly unit: 'stick' | 'bud'; readonly count: number },
  bundles: Bundles,
  from: Account,
  to: Account,
): LotMove[] {
  const { lotId, unit } = whole
  let loose = whole.count
  const moves = bundles.flatMap((bundle) => {
    if (bundle.unit === unit) loose -= bundle.count
    return moved({ lotId, ...bundle }, from, to)
  })
  if (loose <= 0) return moves
  return [...moves, ...moved({ lotId, bundleId: null, unit, count: loose }, from, to)]
}

/** A pair: the wood leaves one account and enters another. */
export function moved(wood: WoodShape, from: Account, to: Account): LotMove[] {
  const { lotId, bundleId, unit, count } = wood
  return [
    { lotId, bundleId, unit, kind: from.kind, id: from.id, count: -count },
    { lotId, bundleId, unit, kind: to.kind, id: to.id, count },
  ]
}
