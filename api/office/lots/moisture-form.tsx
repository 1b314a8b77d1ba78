// The form for the moisture of wood: weighed and dried, by a meter, or weighed again since cutting.
import type { Context } from 'hono'
import { lossBetween, moistureOfShare, moistureOfWeights } from '#trade/moisture.ts'
import type { EntryBody } from '#wire/entry.ts'
import type { LotIdentity } from '../../lots/lot-detail.ts'
import { recordChecked } from '../../journal/checked-desk.ts'
import { nurseryTimeZone } from '../../nursery/read.ts'
import type { Env } from '../../platform/services.ts'
import { readPositions } from '../../store/positions.ts'
import { deskOf } from '../desk.ts'
import { freshForm } from '../form.ts'
import type { FormReader, FormState } from '../form.ts'
import { FormProblems, NoteField, NumberField, SelectField, show, submit } from '../form-page.tsx'
import { WhenField } from '../form-page.tsx'
import { Page } from '../layout.tsx'
import { afterSaving } from '../saved.tsx'
import { typedNote } from '../typed-text.ts'
import { readSample, SampleFields, sampleProblems } from './check-fields.tsx'
import { beforeCutProblem } from './check-time.ts'
import { lotOf } from './lot-of.ts'

type Measured = EntryBody<'check.moisture'>['measured']
const ways = ['oven', 'meter', 'weighing again'] as const
const bases = ['fresh weight', 'dry weight'] as const

/** Shows the form for the lot in the address. */
export async function showMoisture(c: Context<Env>) {
  return show(c, await page(c, await lotOf(c), freshForm()))
}

/** Saves the check, or shows the form again. */
export async function saveMoisture(c: Context<Env>) {
  const lot = await lotOf(c)
  return submit(c, { save: (form) => save(c, lot, form), page: (form) => page(c, lot, form) })
}

async function save(c: Context<Env>, lot: LotIdentity, form: FormReader): Promise<string> {
  const { db, clock } = c.get('services')
  const zone = await nurseryTimeZone(db)
  const { positions } = await readPositions(db, zone, { lotIds: [lot.lot_id] })
  const measured = readMeasured(form)
  const sample = readSample(form, positions)
  const occurredAt = form.when('when', 'Measured', zone, clock.now())
  form.addProblems(beforeCutProblem(lot, occurredAt, zone))
  const note = typedNote(form, 'note', 'Note')
  form.check()
  const body = { lotId: lot.lot_id, ...sample, measured, note }
  const draft = { kind: 'check.moisture' as const, body, occurredAt }
  const ids = await recordChecked(db, deskOf(c), [draft], async (trx) => {
    const again = await readPositions(trx, zone, { lotIds: [lot.lot_id] })
    return [...sampleProblems(form, again.positions)]
  })
  return afterSaving(`/lots/${lot.lot_id}`, ids.length)
}

/** Reads what was measured; weights and shares that cannot be are noted at their field. */
function readMeasured(form: FormReader): Measured {
  const by = form.choice('by', 'how it was measured', ways)
  if (by === 'meter') {
    const percent = number(form, 'percent', 'Moisture', 0, 400)
    const basis = form.choice('basis', 'what the percent are of', bases)
    sound(form, 'percent', () => moistureOfShare(percent / 100, basis))
    return { by, percent, basis }
  }
  const first = number(form, 'firstGrams', by === 'oven' ? 'Fresh weight' : 'Weight at cutting')
  const second = number(form, 'secondGrams', by === 'oven' ? 'Dry weight' : 'Weight now')
  if (by === 'oven') {
    sound(form, 'secondGrams', () => moistureOfWeights(first, second))
    return { by, freshGrams: first, dryGrams: second }
  }
  sound(form, 'secondGrams', () => lossBetween(first, second, null))
  return { by, atCutGrams: first, nowGrams: second }
}

function number(form: FormReader, name: string, label: string, min = 0.001, max = 100_000): number {
  const value = form.optionalNumber(name, label, min, max)
  if (value !== null) return value
  if (form.raw(name) === '') form.problem(name, `${label} is needed`)
  return 1
}

/** A figure that cannot be true is a problem of its field. */
function sound(form: FormReader, name: string, reckon: () => unknown): void {
  try {
    reckon()
  } catch (error) {
    if (!(error instanceof RangeError)) throw error
    form.problem(name, `${error.message}: look at both figures`)
  }
}

async function page(c: Context<Env>, lot: LotIdentity, form: FormState) {
  const { db } = c.get('services')
  const zone = await nurseryTimeZone(db)
  const { positions } = await readPositions(db, zone, { lotIds: [lot.lot_id] })
  return (
    <Page
      c={c}
      title={`Moisture of lot ${lot.reference}`}
      lead="Say how it was measured: a percentage without its basis says nothing."
    >
      <form method="post">
        <FormProblems form={form} />
        <div class="columns">
          <SelectField form={form} name="by" label="How" required options={wayOptions} />
          <NumberField
            form={form}
            name="firstGrams"
            label="First weight, g"
            hint="oven: fresh; weighing again: at cutting"
          />
          <NumberField
            form={form}
            name="secondGrams"
            label="Second weight, g"
            hint="oven: dry; weighing again: now, the same sticks"
          />
          <NumberField form={form} name="percent" label="Meter, %" hint="meter only" />
          <SelectField
            form={form}
            name="basis"
            label="Percent of"
            hint="meter only; its booklet says which"
            options={bases.map((value) => ({ value, label: value }))}
          />
          <SampleFields form={form} positions={positions} />
          <WhenField form={form} name="when" label="Measured" />
          <NoteField form={form} name="note" label="Note" />
        </div>
        <p class="note">
          One cane says little: one-year wood differs much from cane to cane (Journal of the
          American Pomological Society 70(1), 2016). Weigh several together.
        </p>
        <p class="care">A drying oven burns: use gloves, and keep dry wood out of naked heat.</p>
        <p class="actions">
          <button class="main">Save the check</button>
          <a class="button" href={`/lots/${lot.lot_id}`}>
            Cancel
          </a>
        </p>
      </form>
    </Page>
  )
}

const wayOptions = [
  { value: 'oven', label: 'oven: weighed fresh, dried, weighed dry' },
  { value: 'meter', label: 'meter: read off' },
  { value: 'weighing again', label: 'weighing again: the same sticks, weighed when cut' },
]
