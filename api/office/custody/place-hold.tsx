// The form that places a hold on a lot, source, bath or place.
import type { Context } from 'hono'
import { HEALTH_AGENTS } from '#trade/health-agents.ts'
import { Id, NIL_ID } from '#wire/basics.ts'
import type { Database } from '../../../db/connect.ts'
import { heldKinds, newHoldProblems } from '../../custody/holds.ts'
import type { HeldKind } from '../../custody/holds.ts'
import { recordChecked } from '../../journal/checked-desk.ts'
import { readNames } from '../../journal/names.ts'
import { listLots } from '../../lots/read.ts'
import { newId } from '../../platform/clock.ts'
import type { Env } from '../../platform/services.ts'
import { listSources } from '../../sources/read.ts'
import { deskOf } from '../desk.ts'
import { freshForm } from '../form.ts'
import type { FormReader, FormState } from '../form.ts'
import { FormProblems, NoteField, SelectField, show, submit } from '../form-page.tsx'
import { TextField, WhenField } from '../form-page.tsx'
import type { Option } from '../form-page.tsx'
import { Page } from '../layout.tsx'
import { afterSaving } from '../saved.tsx'
import { bathOptions, readChoices } from '../store/choices.ts'
import { typedNameOrNull, typedReason } from '../typed-text.ts'

const onField = 'on'
const nothing: { kind: HeldKind; id: string } = { kind: 'lot', id: NIL_ID }

/** Shows the form; `?kind=` and `?id=` choose what is held beforehand. */
export async function showPlaceHold(c: Context<Env>) {
  const on = `${c.req.query('kind') ?? ''} ${c.req.query('id') ?? ''}`
  return show(c, await placePage(c, freshForm(readOn(on) === null ? {} : { on })))
}

/** Saves the hold, or shows the form again. */
export function savePlaceHold(c: Context<Env>) {
  return submit(c, { save: (form) => save(c, form), page: (form) => placePage(c, form) })
}

async function save(c: Context<Env>, form: FormReader): Promise<string> {
  const { db, clock } = c.get('services')
  const { zone } = await readChoices(db)
  const chosen = readOn(form.raw(onField))
  if (chosen === null) form.problem(onField, 'choose what the hold is on')
  const body = {
    holdId: newId(),
    on: chosen ?? nothing,
    agent: typedNameOrNull(form, 'agent', 'Health agent'),
    reason: typedReason(form, 'reason', 'Reason'),
  }
  const occurredAt = form.when('when', 'From', zone, clock.now())
  if (chosen !== null) form.addProblems(await newHoldProblems(db, body))
  form.check()
  const draft = { kind: 'hold.placed' as const, body, occurredAt }
  const ids = await recordChecked(db, deskOf(c), [draft], (trx) => newHoldProblems(trx, body))
  return afterSaving(`/custody/holds/${body.holdId}`, ids.length)
}

/** Reads `lot <id>` and the like. */
function readOn(value: string): { kind: HeldKind; id: string } | null {
  const [word, id] = value.split(' ')
  const kind = heldKinds.find((known) => known === word)
  const read = Id.safeParse(id)
  return kind !== undefined && read.success ? { kind, id: read.data } : null
}

async function placePage(c: Context<Env>, form: FormState) {
  const { db, clock } = c.get('services')
  const text = (form.values.find?.[0] ?? c.req.query('find') ?? '').slice(0, 100)
  const options = await onOptions(db, text, clock.now(), form.values[onField]?.[0] ?? '')
  return (
    <Page
      c={c}
      title="Place a hold"
      lead="Use is stopped at once, here and on every phone that fetches the records."
    >
      <form class="actions" method="get">
        <label for="hold-find">Show lots and sources like</label>
        <input id="hold-find" name="find" type="search" value={text} />
        <button>Show</button>
      </form>
      <form method="post">
        <FormProblems form={form} />
        {text === '' ? null : <input type="hidden" name="find" value={text} />}
        <div class="columns">
          <SelectField form={form} name={onField} label="On" required options={options} />
          <TextField
            form={form}
            name="agent"
            label="Health agent"
            list="agents"
            hint="the hold then follows only that agent’s routes; none named: all routes"
          />
          <NoteField form={form} name="reason" label="Reason" required />
          <WhenField form={form} name="when" label="From" />
        </div>
        <datalist id="agents">
          {HEALTH_AGENTS.map(({ name }) => (
            <option value={name} />
          ))}
        </datalist>
        <p class="care">
          Where a quarantine pest or disease is suspected, the law in most countries asks you to
          tell the plant-health authority at once. This record does not do that for you.
        </p>
        <p class="actions">
          <button class="main">Place the hold</button>
          <a class="button" href="/custody/holds">
            Cancel
          </a>
        </p>
      </form>
    </Page>
  )
}

/** Lots and sources that fit, baths and places; what is chosen already is always among them. */
async function onOptions(db: Database, text: string, now: Date, chosen: string): Promise<Option[]> {
  const [lots, sources, choices] = await Promise.all([
    listLots(db, { text }),
    listSources(db, { text, now }),
    readChoices(db),
  ])
  const options = [
    ...lots.map((lot) => ({ value: `lot ${lot.lot_id}`, label: `lot ${lot.reference}` })),
    ...sources.map(({ source_id, name }) => ({
      value: `source ${source_id}`,
      label: `source ${name}`,
    })),
    ...bathOptions(choices).map(({ value, label }) => ({
      value: `bath ${value}`,
      label: `bath in ${label}`,
    })),
    ...choices.places.map(({ placeId, path, placeKind }) => ({
      value: `place ${placeId}`,
      label: `${placeKind} ${path}`,
    })),
  ]
  const on = readOn(chosen)
  if (on === null || options.some(({ value }) => value === chosen)) return options
  const name = (await readNames(db, [on.id])).get(on.id)
  return name === undefined ? options : [{ value: chosen, label: `${on.kind} ${name}` }, ...options]
}
