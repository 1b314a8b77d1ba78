// The form by which a lot is parted into several.
import type { Context } from 'hono'
import { COUNT_LIMIT } from '#wire/basics.ts'
import { localDay } from '#trade/zone-time.ts'
import { recordChecked } from '../../journal/checked-desk.ts'
import type { LotIdentity } from '../../lots/lot-detail.ts'
import { partField, partReferences, splitLot } from '../../lots/parts.ts'
import type { PartWish } from '../../lots/parts.ts'
import { piecesText } from '../../lots/pieces.ts'
import { referenceProblems, suggestReferences } from '../../lots/references.ts'
import { nurseryTimeZone } from '../../nursery/read.ts'
import type { Env } from '../../platform/services.ts'
import { timeProblems } from '../../store/checks.ts'
import type { ChosenWood } from '../../store/choose-wood.ts'
import { nameOf, woodField } from '../../store/choose-wood.ts'
import { readPositions } from '../../store/positions.ts'
import type { WoodPosition } from '../../store/positions.ts'
import { goneProblems } from '../../store/still-there.ts'
import { deskOf } from '../desk.ts'
import { freshForm, readForm } from '../form.ts'
import type { FormReader, FormState } from '../form.ts'
import {
  FormProblems,
  NoteField,
  NumberField,
  SelectField,
  show,
  submit,
  TextField,
  WhenField,
} from '../form-page.tsx'
import { Page } from '../layout.tsx'
import { afterSaving } from '../saved.tsx'
import { typedName, typedReason } from '../typed-text.ts'
import { lotOf } from './lot-of.ts'
import { PackageCounts, readBundleWish } from './new-lot-fields.tsx'

/** Most parts in one form. */
const PART_ROW_LIMIT = 20
const usualParts = 3
const moreParts = 5
const REFERENCE_LIMIT = 40
/** Wood in water is taken out first: a new lot would not inherit the hours in it. */
const dryKinds = ['place', 'holder', 'unknown'] as const

/** Shows the form. */
export async function showSplit(c: Context<Env>) {
  const { db, clock } = c.get('services')
  const zone = await nurseryTimeZone(db)
  const year = Number(localDay(clock.now().getTime(), zone).slice(0, 4))
  const references = await suggestReferences(db, year, usualParts)
  const start = Object.fromEntries(
    references.map((reference, nr) => [partField('Reference', nr), reference]),
  )
  const form = freshForm({ ...start, unit: 'stick', parts: String(usualParts) })
  return show(c, await splitPage(c, form))
}

/** Saves the parts, or shows the form again: with more lines when those were asked for. */
export async function saveSplit(c: Context<Env>) {
  const form = await readForm(c)
  if (form.raw('step') === 'more') {
    const parts = String(Math.min(PART_ROW_LIMIT, partRows(form.raw('parts')) + moreParts))
    const values = { ...form.values, parts: [parts] }
    return show(c, await splitPage(c, { values, errors: {}, general: null }))
  }
  return submit(c, { save: (form) => save(c, form), page: (form) => splitPage(c, form) })
}

async function save(c: Context<Env>, form: FormReader): Promise<string> {
  const { db, clock } = c.get('services')
  const zone = await nurseryTimeZone(db)
  const parent = await lotOf(c)
  const positions = await positionsOf(c, parent)
  const unit = form.choice('unit', 'what is parted', ['stick', 'bud'])
  const at = form.when('when', 'When', zone, clock.now())
  const reason = typedReason(form, 'reason', 'Reason')
  const parts = readParts(form)
  const position = choosePosition(form, positions)
  const made =
    position === null ? null : await splitLot(db, { parent, position, unit, parts, reason, at })
  form.addProblems(made?.problems ?? [])
  if (position !== null)
    form.addProblems(timeProblems([{ position, sticks: 0, buds: 0 }], at, zone))
  form.check()
  const ids = await recordChecked(db, deskOf(c), made?.drafts ?? [], async (trx) => [
    ...(await referenceProblems(trx, partReferences(parts))),
    ...(await goneProblems(trx, chosenOf(position, unit, parts), zone)),
  ])
  return afterSaving(`/lots/${parent.lot_id}`, ids.length)
}

/** All that the parts take together. */
function chosenOf(
  position: WoodPosition | null,
  unit: 'stick' | 'bud',
  parts: PartWish[],
): ChosenWood[] {
  const count = parts.reduce((sum, part) => sum + part.count, 0)
  if (position === null) return []
  return [{ position, sticks: unit === 'stick' ? count : 0, buds: unit === 'bud' ? count : 0 }]
}

/** The only position without asking; else the one chosen. */
function choosePosition(form: FormReader, positions: WoodPosition[]): WoodPosition | null {
  const [first, ...others] = positions
  if (first !== undefined && others.length === 0) return first
  const key = form.raw(woodField)
  const chosen = positions.find((position) => position.key === key)
  return chosen ?? form.problem(woodField, 'choose the wood that is parted', null)
}

/** Lines with nothing but a suggested reference do not count. */
function readParts(form: FormReader): PartWish[] {
  const parts: PartWish[] = []
  for (let nr = 0; nr < partRows(form.raw('parts')); nr += 1) {
    const names = [partField('Count', nr), partField('Bundles', nr), partField('Each', nr)]
    if (names.every((name) => form.raw(name) === '')) continue
    parts.push({
      reference: typedName(form, partField('Reference', nr), 'Lot reference', REFERENCE_LIMIT),
      count: form.whole(partField('Count', nr), 'How many', 1, COUNT_LIMIT),
      bundles: readBundleWish(form, partField('Bundles', nr), partField('Each', nr)),
    })
  }
  if (parts.length === 0) {
    form.problem(partField('Count', 0), 'give at least one part: how many go into it')
  }
  return parts
}

async function positionsOf(c: Context<Env>, parent: LotIdentity): Promise<WoodPosition[]> {
  const { db } = c.get('services')
  const filter = { lotIds: [parent.lot_id], kinds: dryKinds }
  return (await readPositions(db, await nurseryTimeZone(db), filter)).positions
}

async function splitPage(c: Context<Env>, form: FormState) {
  const parent = await lotOf(c)
  const positions = await positionsOf(c, parent)
  const rows = partRows(form.values.parts?.[0])
  const back = `/lots/${parent.lot_id}`
  return (
    <Page
      c={c}
      title={`Split ${parent.reference}`}
      lead="Each part becomes a lot of its own, of the same wood, where it lies now."
    >
      {positions.length === 0 ? (
        <p class="note">
          Nothing of it is at hand to be parted. Wood in a bath is taken out first.{' '}
          <a href={back}>Go back</a>
        </p>
      ) : (
        <form method="post">
          <FormProblems form={form} />
          <WhichWood form={form} positions={positions} />
          <input type="hidden" name="parts" value={String(rows)} />
          {Array.from({ length: rows }, (_, nr) => (
            <PartFields form={form} nr={nr} />
          ))}
          <div class="columns">
            <NoteField form={form} name="reason" label="Reason" required hint="why it is parted" />
            <WhenField form={form} name="when" label="When" />
          </div>
          <PackageCounts />
          <p class="actions">
            <button class="main" name="step" value="save">
              Split
            </button>
            {rows < PART_ROW_LIMIT ? (
              <button name="step" value="more" formnovalidate>
                More parts
              </button>
            ) : null}
            <a class="button" href={back}>
              Cancel
            </a>
          </p>
        </form>
      )}
    </Page>
  )
}

function WhichWood({ form, positions }: { form: FormState; positions: WoodPosition[] }) {
  const label = (position: WoodPosition) =>
    `${nameOf(position)}: ${piecesText(position.material, position)}`
  const only = positions.length === 1 ? positions[0] : undefined
  return (
    <>
      {only === undefined ? (
        <SelectField
          form={form}
          name={woodField}
          label="Wood to part"
          required
          options={positions.map((position) => ({ value: position.key, label: label(position) }))}
        />
      ) : (
        <p id={`field-${woodField}`}>{label(only)} there.</p>
      )}
      {positions.some(({ buds }) => buds > 0) ? (
        <SelectField form={form} name="unit" label="Counted in" required options={unitOptions} />
      ) : (
        <input type="hidden" name="unit" value="stick" />
      )}
    </>
  )
}

const unitOptions = [
  { value: 'stick', label: 'sticks or vines' },
  { value: 'bud', label: 'single buds' },
]

function PartFields({ form, nr }: { form: FormState; nr: number }) {
  return (
    <fieldset class="part">
      <legend>Part {nr + 1}</legend>
      <TextField form={form} name={partField('Reference', nr)} label="Lot reference" size={12} />
      <NumberField form={form} name={partField('Count', nr)} label="How many" />
      <NumberField form={form} name={partField('Bundles', nr)} label="Bundles tied" />
      <NumberField form={form} name={partField('Each', nr)} label="In each bundle" />
    </fieldset>
  )
}

function partRows(text: string | undefined): number {
  const rows = Number(text ?? usualParts)
  return Number.isSafeInteger(rows) && rows >= 1 ? Math.min(rows, PART_ROW_LIMIT) : usualParts
}
