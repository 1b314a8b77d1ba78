// Cuts and receives lots at the desk: checks what was wished for and says what to record.
import type { AccountShape } from '#wire/basics.ts'
import type { EntryBody } from '#wire/entry.ts'
import type { Database } from '../../db/connect.ts'
import type { Draft } from '../journal/desk.ts'
import { listParties, listVarieties } from '../nursery/read.ts'
import { newId } from '../platform/clock.ts'
import type { FieldProblem } from '../platform/errors.ts'
import { readSourceLine } from '../sources/read.ts'
import { makeBundles } from './bundles.ts'
import type { BundleWish } from './bundles.ts'
import { referenceProblems } from './references.ts'

export const materials = [
  'scion wood',
  'rootstock wood',
  'grafted vine',
  'rooted vine',
  'potted vine',
] as const
export type MaterialName = (typeof materials)[number]

/** What a person says of a new lot, however it came. */
export type LotWish = {
  reference: string
  material: MaterialName
  /** Null says none; undefined, for a cut lot, says as the source is registered. */
  clone: string | null | undefined
  scheme: string | null | undefined
  class: string | null | undefined
  harvestYear: number
  budsPerStick: number
  count: number
  bundles: BundleWish
  to: AccountShape
  note: string
  at: Date
}

export type CutWish = LotWish & { sourceId: string }

export type ReceiveWish = LotWish & {
  varietyId: string
  supplierId: string
  supplierReference: string | null
  passportCode: string | null
  /** Null says that the origin is unknown. */
  sourceId: string | null
  unit: 'stick' | 'bud'
}

/** The new lot's id and its entry; there is none when there are problems. */
export type NewLot = { lotId: string; drafts: Draft[]; problems: FieldProblem[] }

const bundleFields = { bundleCount: 'bundleCount', piecesEach: 'piecesEach' }

/** A lot cut from a registered source: variety, clone, scheme and class are the source's. */
export async function cutLot(db: Database, wish: CutWish): Promise<NewLot> {
  const lotId = newId()
  const source = await readSourceLine(db, wish.sourceId, wish.at)
  const problems = await wishProblems(db, wish)
  if (source === null) {
    problems.push({ field: 'sourceId', message: 'this source is not on the register: choose one' })
  }
  const whole = { unit: 'stick' as const, count: wish.count, material: wish.material }
  const made = makeBundles(wish.bundles, whole, bundleFields)
  problems.push(...made.problems)
  if (source === null || problems.length > 0) return { lotId, drafts: [], problems }
  const body: EntryBody<'lot.cut'> = {
    lotId,
    reference: wish.reference,
    material: wish.material,
    varietyId: source.variety_id,
    clone: wish.clone === undefined ? source.clone : wish.clone,
    scheme: wish.scheme === undefined ? source.scheme : wish.scheme,
    class: wish.class === undefined ? source.class : wish.class,
    harvestYear: wish.harvestYear,
    budsPerStick: wish.budsPerStick,
    sourceId: wish.sourceId,
    sticks: wish.count,
    bundles: made.bundles,
    to: wish.to,
    note: wish.note,
  }
  return { lotId, drafts: [{ kind: 'lot.cut', body, occurredAt: wish.at }], problems }
}

/** A lot that came in from a supplier, with its origin on the register or said to be unknown. */
export async function receiveLot(db: Database, wish: ReceiveWish): Promise<NewLot> {
  const lotId = newId()
  const problems = await wishProblems(db, wish)
  problems.push(...(await originProblems(db, wish)))
  const whole = { unit: wish.unit, count: wish.count, material: wish.material }
  const made = makeBundles(wish.bundles, whole, bundleFields)
  problems.push(...made.problems)
  if (problems.length > 0) return { lotId, drafts: [], problems }
  const body: EntryBody<'lot.received'> = {
    lotId,
    reference: wish.reference,
    material: wish.material,
    varietyId: wish.varietyId,
    clone: wish.clone ?? null,
    scheme: wish.scheme ?? null,
    class: wish.class ?? null,
    harvestYear: wish.harvestYear,
    budsPerStick: wish.budsPerStick,
    supplierId: wish.supplierId,
    supplierReference: wish.supplierReference,
    passportCode: wish.passportCode,
    sourceId: wish.sourceId,
    unit: wish.unit,
    count: wish.count,
    bundles: made.bundles,
    to: wish.to,
    note: wish.note,
  }
  return { lotId, drafts: [{ kind: 'lot.received', body, occurredAt: wish.at }], problems }
}

async function wishProblems(db: Database, wish: LotWish): Promise<FieldProblem[]> {
  const problems = await referenceProblems(db, [{ field: 'reference', reference: wish.reference }])
  if (wish.harvestYear > wish.at.getUTCFullYear()) {
    const message = `the wood cannot have grown in ${wish.harvestYear}: that year is still to come`
    problems.push({ field: 'harvestYear', message })
  }
  return problems
}

async function originProblems(db: Database, wish: ReceiveWish): Promise<FieldProblem[]> {
  const problems: FieldProblem[] = []
  const varieties = await listVarieties(db)
  const variety = varieties.find((line) => line.variety_id === wish.varietyId)
  if (variety === undefined) {
    problems.push({ field: 'varietyId', message: 'this variety is not registered: choose one' })
  }
  const suppliers = await listParties(db, 'supplier')
  if (!suppliers.some((party) => party.party_id === wish.supplierId)) {
    problems.push({ field: 'supplierId', message: 'this supplier is not registered: choose one' })
  }
  if (wish.sourceId === null) return problems
  const source = await readSourceLine(db, wish.sourceId, wish.at)
  if (source === null) {
    problems.push({ field: 'origin', message: 'this source is not on the register: choose one' })
  } else if (variety !== undefined && source.variety_id !== wish.varietyId) {
    const message =
      `${source.name} is ${source.variety ?? 'of another variety'}, not ${variety.name}: ` +
      'choose the source or the variety again'
    problems.push({ field: 'origin', message })
  }
  return problems
}
