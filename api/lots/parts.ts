// Splits and combines lots at the desk: checks what was wished for and says what to record.
import { PART_LIMIT } from '#wire/kinds/lots.ts'
import type { AccountShape } from '#wire/basics.ts'
import type { EntryBody } from '#wire/entry.ts'
import type { Database } from '../../db/connect.ts'
import type { Draft } from '../journal/desk.ts'
import { newId } from '../platform/clock.ts'
import type { FieldProblem } from '../platform/errors.ts'
import { nameOf, woodField, woodOf } from '../store/choose-wood.ts'
import type { ChosenWood } from '../store/choose-wood.ts'
import type { WoodPosition } from '../store/positions.ts'
import { makeBundles } from './bundles.ts'
import type { BundleWish } from './bundles.ts'
import type { LotIdentity } from './lot-detail.ts'
import { materials } from './new-lot.ts'
import { piecesText, pieceWord } from './pieces.ts'
import { referenceProblems } from './references.ts'

export type PartWish = { reference: string; count: number; bundles: BundleWish }

export type SplitWish = {
  parent: LotIdentity
  position: WoodPosition
  unit: 'stick' | 'bud'
  parts: readonly PartWish[]
  reason: string
  at: Date
}

/** The field of one part in the form, counted from 0. */
export const partField = (name: 'Reference' | 'Count' | 'Bundles' | 'Each', nr: number) =>
  `part${nr + 1}${name}`

/** The references of the parts, each with its field. */
export function partReferences(parts: readonly PartWish[]) {
  return parts.map(({ reference }, nr) => ({ field: partField('Reference', nr), reference }))
}

/** What a split or combination is to record, or what stands in its way. */
export type PartsDraft = { lotIds: string[]; drafts: Draft[]; problems: FieldProblem[] }

/** Parts a lot: every part becomes a lot of the same identity, in the account it was taken from. */
export async function splitLot(db: Database, wish: SplitWish): Promise<PartsDraft> {
  const { parent, position, unit } = wish
  const problems = await referenceProblems(db, partReferences(wish.parts))
  if (wish.parts.length === 0) {
    problems.push({ field: partField('Reference', 0), message: 'give at least one part' })
  }
  problems.push(...wetProblems([position]), ...tooMuch(wish))
  const parts = wish.parts.map((part, nr) => {
    const whole = { unit, count: part.count, material: position.material }
    const fields = { bundleCount: partField('Bundles', nr), piecesEach: partField('Each', nr) }
    const made = makeBundles(part.bundles, whole, fields)
    problems.push(...made.problems)
    return { lotId: newId(), ...part, unit, bundles: made.bundles }
  })
  const identity = identityOf(parent)
  if (identity === null) problems.push({ field: woodField, message: unclear(parent.reference) })
  const lotIds = parts.map(({ lotId }) => lotId)
  if (identity === null || problems.length > 0) return { lotIds, drafts: [], problems }
  const body: EntryBody<'lot.split'> = {
    ...identity,
    parentLotId: parent.lot_id,
    parentBundleId: position.bundleId,
    from: position.account,
    parts,
    reason: wish.reason,
  }
  return { lotIds, drafts: [{ kind: 'lot.split', body, occurredAt: wish.at }], problems }
}

export type CombineWish = {
  parents: readonly { identity: LotIdentity; chosen: ChosenWood }[]
  reference: string
  budsPerStick: number
  bundles: BundleWish
  to: AccountShape
  reason: string
  at: Date
}

/**
 * Combines wood of several lots of one material, variety, clone, scheme, class and year into a
 * new lot whose origin is a set of shares, weighed in buds (in sticks where a stick has none).
 */
export async function combineLots(db: Database, wish: CombineWish): Promise<PartsDraft> {
  const lotId = newId()
  const problems = await referenceProblems(db, [{ field: 'reference', reference: wish.reference }])
  problems.push(...unlikeProblems(wish.parents.map(({ identity }) => identity)))
  problems.push(...wetProblems(wish.parents.map(({ chosen }) => chosen.position)))
  const parents = combinedParts(wish.parents.map(({ chosen }) => chosen))
  if (parents.length > PART_LIMIT) {
    const message = `at most ${PART_LIMIT} portions at a time: combine in two steps`
    problems.push({ field: woodField, message })
  }
  const first = wish.parents[0]
  const identity = first === undefined ? null : identityOf(first.identity)
  const material = first?.identity.material ?? ''
  const made = combinedBundles(wish.bundles, parents, material)
  problems.push(...made.problems)
  if (identity === null || problems.length > 0) return { lotIds: [lotId], drafts: [], problems }
  const body: EntryBody<'lot.combined'> = {
    ...identity,
    lotId,
    reference: wish.reference,
    budsPerStick: wish.budsPerStick,
    parents,
    bundles: made.bundles,
    to: wish.to,
    reason: wish.reason,
  }
  const draft: Draft = { kind: 'lot.combined', body, occurredAt: wish.at }
  return { lotIds: [lotId], drafts: [draft], problems }
}

/** The portions that go into a combination, each with its weight. */
export function combinedParts(chosen: readonly ChosenWood[]): EntryBody<'lot.combined'>['parents'] {
  return chosen.flatMap((choice) => {
    const { budsPerStick, account } = choice.position
    return woodOf(choice).map((wood) => ({
      ...wood,
      budEquivalents: wood.unit === 'bud' ? wood.count : wood.count * Math.max(1, budsPerStick),
      from: account,
    }))
  })
}

/** A new lot would not inherit the hours in the water, so the soak must end first. */
function wetProblems(positions: readonly WoodPosition[]): FieldProblem[] {
  const wet = positions.find((position) => position.account.kind === 'bath')
  if (wet === undefined) return []
  return [{ field: woodField, message: `${nameOf(wet)}: take it out of the water first` }]
}

/** Combining needs at least two lots, alike in everything but their origin. */
export function unlikeProblems(identities: readonly LotIdentity[]): FieldProblem[] {
  const problem = (message: string) => [{ field: woodField, message }]
  const [first, ...others] = identities
  if (first === undefined) return []
  if (others.every(({ lot_id }) => lot_id === first.lot_id)) {
    return problem('wood of at least two lots is needed: choose another lot beside it')
  }
  for (const other of others) {
    const unlike = comparedWords.find(([key]) => first[key] !== other[key])
    if (unlike === undefined) continue
    const [key, word] = unlike
    const said = (lot: LotIdentity) =>
      `${lot.reference} is ${String((key === 'variety_id' ? lot.variety : lot[key]) ?? 'unknown')}`
    return problem(
      `lots of different ${word} cannot become one: ${said(first)}, ${said(other)}. ` +
        'Leave one of them out',
    )
  }
  return []
}

const comparedWords = [
  ['material', 'material'],
  ['variety_id', 'variety'],
  ['clone', 'clone'],
  ['scheme', 'scheme'],
  ['class', 'class'],
  ['harvest_year', 'year of growth'],
] as const satisfies readonly (readonly [keyof LotIdentity, string])[]

function combinedBundles(
  wish: BundleWish,
  parents: EntryBody<'lot.combined'>['parents'],
  material: string,
) {
  const total = (unit: 'stick' | 'bud') =>
    parents.reduce((sum, part) => sum + (part.unit === unit ? part.count : 0), 0)
  const unit = total('stick') > 0 ? 'stick' : 'bud'
  const fields = { bundleCount: 'bundleCount', piecesEach: 'piecesEach' }
  return makeBundles(wish, { unit, count: total(unit), material }, fields)
}

function tooMuch({ position, unit, parts }: SplitWish): FieldProblem[] {
  const wanted = parts.reduce((sum, part) => sum + part.count, 0)
  const there = unit === 'stick' ? position.sticks : position.buds
  if (wanted <= there) return []
  const words = unit === 'stick' ? pieceWord(position.material, 2) : 'buds'
  const message =
    `${nameOf(position)}: ${piecesText(position.material, position)} there, and the parts come ` +
    `to ${wanted} ${words}`
  return [{ field: partField('Count', Math.max(0, parts.length - 1)), message }]
}

/** What the parts of a lot are, stated again; null when the lot's own entry does not say. */
function identityOf(lot: LotIdentity) {
  const material = materials.find((name) => name === lot.material)
  const { variety_id, harvest_year, buds_per_stick } = lot
  if (material === undefined || variety_id === null) return null
  if (harvest_year === null || buds_per_stick === null) return null
  return {
    material,
    varietyId: variety_id,
    clone: lot.clone,
    scheme: lot.scheme,
    class: lot.class,
    harvestYear: harvest_year,
    budsPerStick: buds_per_stick,
  }
}

const unclear = (reference: string) =>
  `what ${reference} is has not been recorded whole: its parts cannot be named`
