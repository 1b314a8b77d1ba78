// The form that enters an inspection of a source, with what stands near it and how far away.
import type { Context } from 'hono'
import { localDay } from '#trade/zone-time.ts'
import { recordAtDesk } from '../../journal/desk.ts'
import { listParties, nurseryTimeZone } from '../../nursery/read.ts'
import type { Env } from '../../platform/services.ts'
import {
  inspectionKinds,
  inspectionProblems,
  inspectionResults,
} from '../../sources/inspections.ts'
import { readSourceLine } from '../../sources/read.ts'
import type { SourceLine } from '../../sources/read.ts'
import { deskOf } from '../desk.ts'
import { freshForm } from '../form.ts'
import type { FormReader, FormState } from '../form.ts'
import { DayField, FormProblems, NoteField, NumberField } from '../form-page.tsx'
import { SelectField, show, submit } from '../form-page.tsx'
import { Page } from '../layout.tsx'
import { found, pathId } from '../path-id.ts'
import { afterSaving } from '../saved.tsx'
import { typedNote } from '../typed-text.ts'

/** Shows the form. */
export async function showInspectionForm(c: Context<Env>) {
  const { db, clock } = c.get('services')
  const source = await sourceInPath(c)
  const inspectedOn = localDay(clock.now().getTime(), await nurseryTimeZone(db))
  return show(c, await page(c, source, freshForm({ inspectedOn })))
}

/** Saves the inspection. */
export async function saveInspection(c: Context<Env>) {
  const source = await sourceInPath(c)
  return submit(c, {
    save: (form) => save(c, source, form),
    page: (form) => page(c, source, form),
  })
}

async function save(c: Context<Env>, source: SourceLine, form: FormReader): Promise<string> {
  const { db, clock } = c.get('services')
  const body = {
    sourceId: source.source_id,
    kind: form.choice('kind', 'the kind of inspection', inspectionKinds),
    inspectedOn: form.day('inspectedOn', 'the day of the inspection'),
    partyId: form.optionalId('partyId', 'who looked'),
    result: form.choice('result', 'the result', inspectionResults),
    isolationMetres: form.optionalNumber('isolationMetres', 'the distance', 0, 100_000),
    nearby: typedNote(form, 'nearby', 'what stands there'),
    note: typedNote(form, 'note', 'the note'),
  }
  if (/^\d{4}-/.test(body.inspectedOn)) {
    form.addProblems(inspectionProblems(body, clock.now(), await nurseryTimeZone(db)))
  }
  const parties = await listParties(db)
  if (body.partyId !== null && !parties.some(({ party_id }) => party_id === body.partyId)) {
    form.problem('partyId', 'this firm or authority is not registered here: choose one')
  }
  form.check()
  await recordAtDesk(db, deskOf(c), [{ kind: 'source.inspected', body }])
  return afterSaving(`/sources/${source.source_id}`, 1)
}

async function sourceInPath(c: Context<Env>): Promise<SourceLine> {
  const { db, clock } = c.get('services')
  return found(await readSourceLine(db, pathId(c, 'sourceId', 'source'), clock.now()), 'source')
}

const offered = (names: readonly string[]) => names.map((name) => ({ value: name, label: name }))

async function page(c: Context<Env>, source: SourceLine, form: FormState) {
  const parties = await listParties(c.get('services').db)
  return (
    <Page
      c={c}
      title={`Inspection of ${source.name}`}
      lead="What was seen, and by whom. An inspection changes no standing by itself."
    >
      <form method="post">
        <FormProblems form={form} />
        <div class="columns">
          <div>
            <SelectField
              form={form}
              name="kind"
              label="Kind of inspection"
              options={offered(inspectionKinds)}
              required
            />
            <DayField form={form} name="inspectedOn" label="Day" required />
            <SelectField
              form={form}
              name="partyId"
              label="By"
              hint="empty for the nursery itself"
              options={parties.map(({ party_id, name }) => ({ value: party_id, label: name }))}
            />
            <SelectField
              form={form}
              name="result"
              label="Result"
              options={offered(inspectionResults)}
              required
            />
          </div>
          <div>
            <NumberField
              form={form}
              name="isolationMetres"
              label="Distance to other vines, in metres"
              hint="to the nearest that are not of this source; empty if not measured"
            />
            <NoteField form={form} name="nearby" label="What stands there" />
          </div>
        </div>
        <NoteField form={form} name="note" label="Note" />
        <p class="actions">
          <button class="main">Save</button>
          <a class="button" href={`/sources/${source.source_id}`}>
            Cancel
          </a>
        </p>
      </form>
    </Page>
  )
}
