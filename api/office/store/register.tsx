// The form by which a room, rack, bin, tank or other place is made known.
import type { Context } from 'hono'
import { recordChecked } from '../../journal/checked-desk.ts'
import { newId } from '../../platform/clock.ts'
import type { Env } from '../../platform/services.ts'
import { newPlaceProblems } from '../../store/checks.ts'
import { placeKinds, readPlaces } from '../../store/places.ts'
import { chosenId } from '../chosen-id.ts'
import { deskOf } from '../desk.ts'
import { freshForm } from '../form.ts'
import type { FormReader, FormState } from '../form.ts'
import { FormProblems, NoteField, SelectField, show, submit, TextField } from '../form-page.tsx'
import { TickField } from '../form-page.tsx'
import { Page } from '../layout.tsx'
import { afterSaving } from '../saved.tsx'
import { typedName, typedNote } from '../typed-text.ts'

/** Shows the form. */
export async function showRegister(c: Context<Env>) {
  return show(c, await registerPage(c, freshForm({ placeKind: c.req.query('kind') ?? '' })))
}

/** Saves the place, or shows the form again. */
export function saveRegister(c: Context<Env>) {
  return submit(c, { save: (form) => save(c, form), page: (form) => registerPage(c, form) })
}

async function save(c: Context<Env>, form: FormReader): Promise<string> {
  const { db } = c.get('services')
  const body = {
    placeId: newId(),
    name: typedName(form, 'name', 'Name'),
    placeKind: form.choice('placeKind', 'what kind of place it is', placeKinds),
    insidePlaceId:
      form.raw('insidePlaceId') === ''
        ? null
        : chosenId(form, 'insidePlaceId', 'the place around it'),
    cooled: form.all('cooled').includes('yes'),
    note: typedNote(form, 'note', 'Note'),
  }
  form.addProblems(newPlaceProblems(await readPlaces(db), body))
  form.check()
  const draft = { kind: 'place.registered' as const, body }
  const ids = await recordChecked(db, deskOf(c), [draft], async (trx) =>
    newPlaceProblems(await readPlaces(trx), body),
  )
  return afterSaving('/store', ids.length)
}

async function registerPage(c: Context<Env>, form: FormState) {
  const places = await readPlaces(c.get('services').db)
  return (
    <Page
      c={c}
      title="Register a place"
      lead="Where wood can be: a room, a rack in it, a bin on it; a tank for baths; a truck."
    >
      <form method="post">
        <FormProblems form={form} />
        <div class="columns">
          <TextField form={form} name="name" label="Name" required hint="as written on it" />
          <SelectField
            form={form}
            name="placeKind"
            label="Kind"
            required
            options={placeKinds.map((kind) => ({ value: kind, label: kind }))}
          />
          <SelectField
            form={form}
            name="insidePlaceId"
            label="Inside"
            options={places
              .filter((place) => place.placeKind !== 'tank')
              .map((place) => ({ value: place.placeId, label: place.path }))}
          />
          <TickField
            form={form}
            name="cooled"
            label="Cold"
            options={[{ value: 'yes', label: 'cooled; what is inside it is cooled as well' }]}
          />
          <NoteField form={form} name="note" label="Note" />
        </div>
        <p class="actions">
          <button class="main">Save the place</button>
          <a class="button" href="/store">
            Cancel
          </a>
        </p>
      </form>
    </Page>
  )
}
