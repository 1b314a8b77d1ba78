// The form for a treatment: hot water by its curve or setting, or a dip, on wood that is ticked.
import type { Context } from 'hono'
import type { Child } from 'hono/jsx'
import { HOT_WATER_PURPOSES } from '#trade/hot-water-protocols.ts'
import { TREATED_LIMIT } from '#wire/kinds/treatments.ts'
import type { EntryBody } from '#wire/entry.ts'
import { recordChecked } from '../../journal/checked-desk.ts'
import { judgeLots } from '../../lots/judge-lots.ts'
import type { Env } from '../../platform/services.ts'
import { timeProblems } from '../../store/checks.ts'
import { woodField, woodOf } from '../../store/choose-wood.ts'
import { readCurve } from '../../store/curve-text.ts'
import { readPositions } from '../../store/positions.ts'
import { goneProblems } from '../../store/still-there.ts'
import { deskOf } from '../desk.ts'
import { freshForm } from '../form.ts'
import type { FormReader, FormState } from '../form.ts'
import { FormProblems, NoteField, NumberField, SelectField, show, submit } from '../form-page.tsx'
import { TextField, TickField, WhenField } from '../form-page.tsx'
import { Page } from '../layout.tsx'
import { afterSaving } from '../saved.tsx'
import { bathOptions, readChoices, tankOptions } from '../store/choices.ts'
import { readChosenWood } from '../store/read-chosen.ts'
import { FindWood } from '../store/wood-action.tsx'
import { WoodFields } from '../store/wood-fields.tsx'
import { typedName, typedNameOrNull, typedNote } from '../typed-text.ts'
import { TreatmentCare } from './treatment-care.tsx'

type Done = EntryBody<'treatment.done'>['done']
type Run = Extract<Done, { treatment: 'hot water' }>['run']
const kinds = ['hot water', 'fungicide dip', 'disinfectant dip'] as const
const units = ['%', 'ppm', 'g/l', 'ml/l'] as const
const accounts = { kinds: ['place', 'bath', 'unknown'] as const }

/** Shows the form. */
export async function showTreat(c: Context<Env>) {
  return show(c, await treatPage(c, freshForm()))
}

/** Saves the treatment, or shows the form again. */
export function saveTreat(c: Context<Env>) {
  return submit(c, { save: (form) => save(c, form), page: (form) => treatPage(c, form) })
}

async function save(c: Context<Env>, form: FormReader): Promise<string> {
  const { db, clock } = c.get('services')
  const { zone } = await readChoices(db)
  const { chosen, problems } = await readChosenWood(db, form, zone, accounts)
  const treated = chosen.flatMap(woodOf)
  if (treated.length > TREATED_LIMIT) {
    form.problem(woodField, `at most ${TREATED_LIMIT} lines fit: save the rest as another one`)
  }
  const done = readDone(form)
  const occurredAt = form.when('when', 'Done', zone, clock.now())
  form.addProblems([...problems, ...timeProblems(chosen, occurredAt, zone)])
  const body = {
    treated,
    bathId: form.optionalId('bathId', 'the bath'),
    placeId: form.optionalId('placeId', 'the tank'),
    done,
    note: typedNote(form, 'note', 'Note'),
  }
  form.check()
  const draft = { kind: 'treatment.done' as const, body, occurredAt }
  const ids = await recordChecked(db, deskOf(c), [draft], (trx) => goneProblems(trx, chosen, zone))
  return afterSaving(`/soak/treatments/${ids[0] ?? ''}`, ids.length)
}

function readDone(form: FormReader): Done {
  const treatment = form.choice('treatment', 'what was done', kinds)
  if (treatment === 'hot water') {
    const wanted = new Set(form.all('purposes'))
    const purposes = HOT_WATER_PURPOSES.filter((purpose) => wanted.has(purpose))
    if (purposes.length === 0) form.problem('purposes', 'tick what the hot water was used against')
    return { treatment, purposes, run: readRun(form) }
  }
  const value = form.optionalNumber('concentration', 'Concentration', 0, 1_000_000)
  return {
    treatment,
    product: typedName(form, 'product', 'The product'),
    concentration:
      value === null
        ? null
        : { value, unit: form.choice('unit', 'the unit of the concentration', units) },
    dose: typedNameOrNull(form, 'dose', 'Dose'),
    minutes: form.optionalNumber('dipMinutes', 'Minutes', 0, 1440),
  }
}

/** The curve where one was typed, else the setting; both at once is one too many. */
function readRun(form: FormReader): Run {
  const text = form.values.curve?.[0] ?? ''
  const tempC = form.optionalNumber('setTempC', 'Set temperature', 0, 100)
  const minutes = form.optionalNumber('minutes', 'Minutes in the water', 0, 1440)
  if (text.trim() !== '') {
    if (tempC !== null || minutes !== null) {
      form.problem('setTempC', 'give the curve or the setting, not both: the curve says more')
    }
    const read = readCurve(text)
    if (read.ok) return { by: 'curve', readings: read.readings }
    form.problem('curve', read.message)
    return { by: 'set point', tempC: 0, minutes: 0 }
  }
  if (tempC === null) form.problem('setTempC', 'give the curve, or the temperature that was set')
  if (minutes === null) form.problem('minutes', 'say how many minutes the wood was in')
  return { by: 'set point', tempC: tempC ?? 0, minutes: minutes ?? 0 }
}

async function treatPage(c: Context<Env>, form: FormState): Promise<Child> {
  const { db, clock } = c.get('services')
  const choices = await readChoices(db)
  const text = (form.values.find?.[0] ?? c.req.query('find') ?? '').slice(0, 100)
  const { positions, more } = await readPositions(db, choices.zone, { ...accounts, text })
  const lotIds = positions.map(({ lotId }) => lotId)
  const verdicts = await judgeLots(db, lotIds, clock.now())
  return (
    <Page
      c={c}
      title="Record a treatment"
      lead="What was done to wood against pests and disease. The wood does not move by it."
    >
      <FindWood text={text} />
      <form method="post">
        <FormProblems form={form} />
        {text === '' ? null : <input type="hidden" name="find" value={text} />}
        <WoodFields {...{ form, positions, more, verdicts }} legend="Wood treated" oneLot={false} />
        <div class="columns">
          <SelectField
            form={form}
            name="treatment"
            label="Treatment"
            required
            options={named(kinds)}
          />
          <SelectField form={form} name="placeId" label="Tank" options={tankOptions(choices)} />
          <SelectField form={form} name="bathId" label="Bath" options={bathOptions(choices)} />
          <WhenField form={form} name="when" label="Done" />
        </div>
        <HotWaterFields form={form} />
        <DipFields form={form} />
        <NoteField form={form} name="note" label="Note" />
        <TreatmentCare />
        <p class="actions">
          <button class="main">Save the treatment</button>
          <a class="button" href="/soak/treatments">
            Cancel
          </a>
        </p>
      </form>
    </Page>
  )
}

const named = (values: readonly string[]) => values.map((value) => ({ value, label: value }))

function HotWaterFields({ form }: { form: FormState }) {
  return (
    <>
      <h2>Hot water</h2>
      <TickField
        form={form}
        name="purposes"
        label="Used against, or asked for by"
        options={named(HOT_WATER_PURPOSES)}
      />
      <NoteField
        form={form}
        name="curve"
        label="Curve"
        hint="one reading a line: minutes since the wood went in, then °C, like 12; 50.1"
      />
      <div class="columns">
        <NumberField
          form={form}
          name="setTempC"
          label="Set temperature, °C"
          hint="only where there is no curve"
        />
        <NumberField form={form} name="minutes" label="Minutes in the water" />
      </div>
    </>
  )
}

function DipFields({ form }: { form: FormState }) {
  return (
    <>
      <h2>Dip</h2>
      <div class="columns">
        <TextField form={form} name="product" label="Product" />
        <NumberField form={form} name="concentration" label="Concentration" />
        <SelectField form={form} name="unit" label="Unit" options={named(units)} />
        <TextField form={form} name="dose" label="Dose in the label’s words" />
        <NumberField form={form} name="dipMinutes" label="Minutes" />
      </div>
    </>
  )
}
