// What the entries by which lots come to be state.
import { NIL_ID } from '#wire/basics.ts'
import type { AccountShape, WoodShape } from '#wire/basics.ts'
import type { Entry, EntryBody } from '#wire/entry.ts'
import { lotAccount, move, subjects } from '../journal/fact-rows.ts'
import type { BookAccount, FactRows, FactsOfKinds } from '../journal/fact-rows.ts'

type LotKind = 'lot.cut' | 'lot.received' | 'lot.split' | 'lot.combined'
type Bundles = EntryBody<'lot.cut'>['bundles']
type LotRow = NonNullable<FactRows['lot']>[number]

export const lotFacts: FactsOfKinds<LotKind> = {
  'lot.cut': (entry) => {
    const { body } = entry
    const wood = { lotId: body.lotId, unit: 'stick' as const, count: body.sticks }
    return {
      lot: [{ ...lotRow(entry, 0, body), made_by: 'cut', source_id: body.sourceId }],
      bundle: bundleRows(entry, 0, body.lotId, body.bundles),
      movement: arrive(entry, 0, wood, body.bundles, source(body.sourceId), body.to),
      entry_subject: subjects(entry, [
        { kind: 'lot', id: body.lotId },
        { kind: 'source', id: body.sourceId },
        body.to,
        ...body.bundles.map((bundle) => ({ kind: 'bundle', id: bundle.bundleId })),
      ]),
    }
  },
  'lot.received': (entry) => {
    const { body } = entry
    const supplier = { kind: 'supplier', id: body.supplierId }
    return {
      lot: [
        {
          ...lotRow(entry, 0, body),
          made_by: 'received',
          source_id: body.sourceId,
          supplier_id: body.supplierId,
          supplier_reference: body.supplierReference,
          passport_code: body.passportCode,
        },
      ],
      bundle: bundleRows(entry, 0, body.lotId, body.bundles),
      movement: arrive(entry, 0, body, body.bundles, supplier, body.to),
      entry_subject: subjects(entry, [
        { kind: 'lot', id: body.lotId },
        { kind: 'source', id: body.sourceId },
        { kind: 'party', id: body.supplierId },
        body.to,
        ...body.bundles.map((bundle) => ({ kind: 'bundle', id: bundle.bundleId })),
      ]),
    }
  },
  'lot.split': splitFacts,
  'lot.combined': combinedFacts,
}

function splitFacts(entry: Entry<'lot.split'>): FactRows {
  const { body } = entry
  const rows: Required<Pick<FactRows, 'lot' | 'lot_parent' | 'bundle' | 'movement'>> = {
    lot: [],
    lot_parent: [],
    bundle: [],
    movement: [],
  }
  body.parts.forEach((part, nr) => {
    rows.lot.push({
      ...lotRow(entry, nr, { ...body, ...part, note: body.reason }),
      made_by: 'split',
    })
    rows.lot_parent.push({
      entry_id: entry.id,
      line: nr,
      lot_id: part.lotId,
      parent_lot_id: body.parentLotId,
      bud_equivalents: 1,
    })
    rows.bundle.push(...bundleRows(entry, rows.bundle.length, part.lotId, part.bundles))
    const leaving: WoodShape = {
      lotId: body.parentLotId,
      bundleId: body.parentBundleId,
      unit: part.unit,
      count: part.count,
    }
    const out = move(entry, rows.movement.length, leaving, body.from, lotAccount(part.lotId))
    rows.movement.push(...out)
    const origin = lotAccount(body.parentLotId)
    const arriving = arrive(entry, rows.movement.length, part, part.bundles, origin, body.from)
    rows.movement.push(...arriving)
  })
  const things = [
    { kind: 'lot', id: body.parentLotId },
    { kind: 'bundle', id: body.parentBundleId },
    ...body.parts.map((part) => ({ kind: 'lot', id: part.lotId })),
  ]
  return { ...rows, entry_subject: subjects(entry, things) }
}

function combinedFacts(entry: Entry<'lot.combined'>): FactRows {
  const { body } = entry
  const movement: NonNullable<FactRows['movement']> = []
  const totals = { stick: 0, bud: 0 }
  for (const parent of body.parents) {
    movement.push(...move(entry, movement.length, parent, parent.from, lotAccount(body.lotId)))
    totals[parent.unit] += parent.count
  }
  for (const unit of ['stick', 'bud'] as const) {
    if (totals[unit] === 0) continue
    const wood = { lotId: body.lotId, unit, count: totals[unit] }
    const bundles = body.bundles.filter((bundle) => bundle.unit === unit)
    const origin = { kind: 'lot', id: NIL_ID }
    movement.push(...arrive(entry, movement.length, wood, bundles, origin, body.to))
  }
  return {
    lot: [{ ...lotRow(entry, 0, { ...body, note: body.reason }), made_by: 'combined' }],
    lot_parent: body.parents.map((parent, line) => ({
      entry_id: entry.id,
      line,
      lot_id: body.lotId,
      parent_lot_id: parent.lotId,
      bud_equivalents: parent.budEquivalents,
    })),
    bundle: bundleRows(entry, 0, body.lotId, body.bundles),
    movement,
    entry_subject: subjects(entry, [
      { kind: 'lot', id: body.lotId },
      ...body.parents.map((parent) => ({ kind: 'lot', id: parent.lotId })),
    ]),
  }
}

type Described = {
  lotId: string
  reference: string
  material: string
  varietyId: string
  clone: string | null
  scheme: string | null
  class: string | null
  harvestYear: number
  budsPerStick: number
  note: string
}

function lotRow(entry: Entry, line: number, lot: Described): Omit<LotRow, 'made_by'> {
  return {
    entry_id: entry.id,
    line,
    lot_id: lot.lotId,
    reference: lot.reference,
    material: lot.material,
    variety_id: lot.varietyId,
    clone: lot.clone,
    scheme: lot.scheme,
    class: lot.class,
    harvest_year: lot.harvestYear,
    buds_per_stick: lot.budsPerStick,
    note: lot.note,
    occurred_at: entry.occurredAt,
    person_id: entry.person,
  }
}

function bundleRows(entry: Entry, line: number, lotId: string, bundles: Bundles) {
  return bundles.map((bundle, nr) => ({
    entry_id: entry.id,
    line: line + nr,
    bundle_id: bundle.bundleId,
    lot_id: lotId,
    number: nr + 1,
    unit: bundle.unit,
    count: bundle.count,
    occurred_at: entry.occurredAt,
  }))
}

/** The lot's whole quantity arrives: bundle by bundle, and what is left over as loose wood. */
function arrive(
  entry: Entry,
  line: number,
  whole: { lotId: string; unit: 'stick' | 'bud'; count: number },
  bundles: Bundles,
  from: BookAccount,
  to: AccountShape,
): NonNullable<FactRows['movement']> {
  const movement: NonNullable<FactRows['movement']> = []
  let loose = whole.count
  for (const bundle of bundles) {
    const wood = { lotId: whole.lotId, ...bundle }
    movement.push(...move(entry, line + movement.length, wood, from, to))
    if (bundle.unit === whole.unit) loose -= bundle.count
  }
  if (loose > 0) {
    const wood = { lotId: whole.lotId, bundleId: null, unit: whole.unit, count: loose }
    movement.push(...move(entry, line + movement.length, wood, from, to))
  }
  return movement
}

const source = (id: string): BookAccount => ({ kind: 'source', id })
