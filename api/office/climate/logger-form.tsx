// The form by which a logger is made known, moved to another place, or corrected.
import type { Context } from 'hono'
import { recordAtDesk } from '../../journal/desk.ts'
import { nurseryTimeZone } from '../../nursery/read.ts'
import { newId } from '../../platform/clock.ts'
import type { Env } from '../../platform/services.ts'
import { placeAt } from '../../store/loggers.ts'
import type { Logger } from '../../store/loggers.ts'
import { readPlaces } from '../../store/places.ts'
import { deskOf } from '../desk.ts'
import { freshForm } from '../form.ts'
import type { FormReader, FormState } from '../form.ts'
import { FormProblems, NoteField, SelectField, show, submit, TextField } from '../form-page.tsx'
import { WhenField } from '../form-page.tsx'
import { Page } from '../layout.tsx'
import { afterSaving } from '../saved.tsx'
import { typedName, typedNote } from '../typed-text.ts'
import { requiredLogger } from './loggers.tsx'

/** Shows the form for a new logger. */
export async function showNewLogger(c: Context<Env>) {
  return show(c, await loggerPage(c, null, freshForm()))
}

/** Registers a logger. */
export function saveNewLogger(c: Context<Env>) {
  return submit(c, {
    save: (form) => save(c, newId(), form),
    page: (form) => loggerPage(c, null, form),
  })
}

/** Shows the form for a known logger. */
export async function showMoveLogger(c: Context<Env>) {
  const logger = await requiredLogger(c)
  const placeId = placeAt(logger, c.get('services').clock.now().getTime())
  const start = {
    name: logger.name,
    serial: logger.serial ?? '',
    placeId: placeId ?? '',
    note: logger.note,
  }
  return show(c, await loggerPage(c, logger, freshForm(start)))
}

/** Moves or corrects a logger. */
export async function saveMoveLogger(c: Context<Env>) {
  const logger = await requiredLogger(c)
  return submit(c, {
    save: (form) => save(c, logger.loggerId, form),
    page: (form) => loggerPage(c, logger, form),
  })
}

async function save(c: Context<Env>, loggerId: string, form: FormReader): Promise<string> {
  const { db, clock } = c.get('services')
  const zone = await nurseryTimeZone(db)
  const places = await readPlaces(db)
  const placeId = form.optionalId('placeId', 'where it stands')
  if (placeId !== null && !places.some((place) => place.placeId === placeId)) {
    form.problem('placeId', 'choose where it stands')
  }
  const name = typedName(form, 'name', 'Name')
  const serial = form.raw('serial') === '' ? null : typedName(form, 'serial', 'Serial number')
  const fromAt = form.when('fromAt', 'since when', zone, clock.now()).toISOString()
  const note = typedNote(form, 'note', 'Note')
  form.check()
  const body = { loggerId, name, serial, placeId, fromAt, note }
  const ids = await recordAtDesk(db, deskOf(c), [{ kind: 'logger.registered', body }])
  return afterSaving(`/store/loggers/${loggerId}`, ids.length)
}

async function loggerPage(c: Context<Env>, logger: Logger | null, form: FormState) {
  const places = await readPlaces(c.get('services').db)
  const back = logger === null ? '/store/loggers' : `/store/loggers/${logger.loggerId}`
  return (
    <Page
      c={c}
      title={logger === null ? 'Register a logger' : `Move or correct ${logger.name}`}
      lead="Its readings count for the place it stands in, and for what is inside it."
    >
      <form method="post">
        <FormProblems form={form} />
        <div class="columns">
          <TextField form={form} name="name" label="Name" required hint="as written on it" />
          <TextField form={form} name="serial" label="Serial number" />
          <SelectField
            form={form}
            name="placeId"
            label="Stands in"
            options={places.map(({ placeId, path }) => ({ value: placeId, label: path }))}
          />
          <WhenField
            form={form}
            name="fromAt"
            label="Stands there since"
            hint="readings from then on count for this place; leave empty for now"
          />
          <NoteField form={form} name="note" label="Note" />
        </div>
        <p class="actions">
          <button class="main">Save</button>
          <a class="button" href={back}>
            Cancel
          </a>
        </p>
      </form>
    </Page>
  )
}
