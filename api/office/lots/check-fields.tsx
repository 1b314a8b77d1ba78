// The parts that the forms for checks of wood share: which wood, and what the check used up.
import { COUNT_LIMIT } from '#wire/basics.ts'
import type { EntryBody } from '#wire/entry.ts'
import { piecesText } from '../../lots/pieces.ts'
import { Refusal } from '../../platform/errors.ts'
import type { FieldProblem } from '../../platform/errors.ts'
import type { WoodPosition } from '../../store/positions.ts'
import { FormReader } from '../form.ts'
import type { FormState } from '../form.ts'
import { NumberField, SelectField } from '../form-page.tsx'
import type { Option } from '../form-page.tsx'

type Used = EntryBody<'check.viability'>['used']
const units = ['bud', 'stick'] as const

/** The bundle sampled and the wood used up, if any. */
export function SampleFields({ form, positions }: { form: FormState; positions: WoodPosition[] }) {
  return (
    <>
      <SelectField
        form={form}
        name="bundleId"
        label="Sampled from"
        hint="leave empty for the lot as a whole"
        options={bundleOptions(positions)}
      />
      <SelectField
        form={form}
        name="usedFrom"
        label="Wood used up, taken from"
        hint="leave empty when the wood can still be used"
        options={positions.map(usedOption)}
      />
      <NumberField form={form} name="usedCount" label="How much was used up" />
      <SelectField
        form={form}
        name="usedUnit"
        label="Counted in"
        options={units.map((unit) => ({ value: unit, label: `${unit}s` }))}
      />
    </>
  )
}

/** Reads both; what is used up comes off the wood named, never more than is there. */
export function readSample(
  form: FormReader,
  positions: readonly WoodPosition[],
): { bundleId: string | null; used: Used } {
  const chosen = form.optionalId('bundleId', 'the bundle')
  const isThere = positions.some((position) => position.bundleId === chosen)
  if (chosen !== null && !isThere) {
    form.problem('bundleId', 'this bundle has no wood left: choose another, or none')
  }
  const key = form.optional('usedFrom')
  if (key === null) {
    if (form.optional('usedCount') !== null) {
      form.problem('usedFrom', 'say which wood was used up, or leave the count empty')
    }
    return { bundleId: chosen, used: null }
  }
  const position = positions.find((candidate) => candidate.key === key)
  const count = form.whole('usedCount', 'How much was used up', 1, COUNT_LIMIT)
  const unit = form.choice('usedUnit', 'sticks or buds', units)
  if (position === undefined) {
    form.problem('usedFrom', 'this wood is no longer there: choose again')
    return { bundleId: chosen, used: null }
  }
  const most =
    unit === 'stick'
      ? position.sticks
      : position.buds + position.sticks * Math.max(1, position.budsPerStick)
  if (count > most) {
    form.problem('usedCount', `only ${piecesText(position.material, position)} are there`)
  }
  const from = position.account as NonNullable<Used>['from']
  return { bundleId: position.bundleId ?? chosen, used: { unit, count, from } }
}

/** What is wrong with the wood named, seen again while no other form is being recorded. */
export function sampleProblems(
  form: FormReader,
  positions: readonly WoodPosition[],
): readonly FieldProblem[] {
  const again = new FormReader(form.values)
  readSample(again, positions)
  try {
    again.check()
    return []
  } catch (error) {
    if (error instanceof Refusal) return error.fields
    throw error
  }
}

function bundleOptions(positions: readonly WoodPosition[]): Option[] {
  const numbers = new Map<string, number | null>()
  for (const { bundleId, bundleNumber } of positions) {
    if (bundleId !== null) numbers.set(bundleId, bundleNumber)
  }
  return [...numbers].map(([value, number]) => ({ value, label: `bundle ${number ?? 'unknown'}` }))
}

function usedOption(position: WoodPosition): Option {
  const bundle = position.bundleNumber === null ? 'loose' : `bundle ${position.bundleNumber}`
  const there = piecesText(position.material, position)
  return { value: position.key, label: `${bundle}, ${position.accountName}: ${there}` }
}
