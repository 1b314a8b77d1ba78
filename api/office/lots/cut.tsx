// The form by which wood cut from a registered source becomes a lot.
import type { Context } from 'hono'
import { recordChecked } from '../../journal/checked-desk.ts'
import { cutLot } from '../../lots/new-lot.ts'
import { referenceProblems } from '../../lots/references.ts'
import type { Env } from '../../platform/services.ts'
import { SOURCE_PAGE } from '../../sources/read.ts'
import { chosenId } from '../chosen-id.ts'
import { deskOf } from '../desk.ts'
import { freshForm } from '../form.ts'
import type { FormReader, FormState } from '../form.ts'
import { FormProblems, NumberField, SelectField, show, submit, TextField } from '../form-page.tsx'
import { Page } from '../layout.tsx'
import { afterSaving } from '../saved.tsx'
import { readChoices } from '../store/choices.ts'
import {
  ArrivalFields,
  BundleFields,
  IdentityFields,
  newLotStart,
  PackageCounts,
  readClassNames,
  readLotWish,
  sourceOptions,
  SourceSearch,
} from './new-lot-fields.tsx'

/** Shows the form; `?source=` chooses the source beforehand. */
export async function showCut(c: Context<Env>) {
  const { db, clock } = c.get('services')
  const { zone } = await readChoices(db)
  const start = await newLotStart(db, clock.now(), zone)
  const form = freshForm({ ...start, sourceId: c.req.query('source') ?? '' })
  return show(c, await cutPage(c, form))
}

/** Saves the lot, or shows the form again. */
export function saveCut(c: Context<Env>) {
  return submit(c, { save: (form) => save(c, form), page: (form) => cutPage(c, form) })
}

async function save(c: Context<Env>, form: FormReader): Promise<string> {
  const { db, clock } = c.get('services')
  const choices = await readChoices(db)
  const options = { asSource: true, when: 'Cut', countField: 'sticks', countLabel: 'Sticks' }
  const wish = readLotWish(form, choices, clock.now(), options)
  const sourceId = chosenId(form, 'sourceId', 'the source that it was cut from')
  const made = await cutLot(db, { ...wish, sourceId })
  form.addProblems(made.problems)
  form.check()
  const ids = await recordChecked(db, deskOf(c), made.drafts, (trx) =>
    referenceProblems(trx, [{ field: 'reference', reference: wish.reference }]),
  )
  return afterSaving(`/lots/${made.lotId}`, ids.length)
}

async function cutPage(c: Context<Env>, form: FormState) {
  const { db, clock } = c.get('services')
  const text = (form.values.sources?.[0] ?? c.req.query('sources') ?? '').slice(0, 100)
  const [choices, names, { options, sources }] = await Promise.all([
    readChoices(db),
    readClassNames(db, clock.now()),
    sourceOptions(db, text, clock.now()),
  ])
  return (
    <Page
      c={c}
      title="Cut a lot"
      lead="Wood of one variety, clone, class and origin, cut in one go."
    >
      <SourceSearch shown={sources.length >= SOURCE_PAGE || text !== ''} text={text} />
      <form method="post">
        <FormProblems form={form} />
        {text === '' ? null : <input type="hidden" name="sources" value={text} />}
        <div class="columns">
          <TextField form={form} name="reference" label="Lot reference" required size={16} />
          <SelectField
            form={form}
            name="sourceId"
            label="Cut from"
            required
            options={options}
            hint="the lot takes its variety, clone, scheme and class from the source"
          />
          <NumberField form={form} name="sticks" label="Sticks" required />
          <BundleFields form={form} />
          <IdentityFields form={form} names={names} asSource />
          <ArrivalFields form={form} choices={choices} when="Cut" />
        </div>
        <PackageCounts />
        <p class="care">
          Knives and secateurs: cut away from your hands and disinfect the blade between sources.
          Take wood only where plant-health law and the register allow it.
        </p>
        <p class="actions">
          <button class="main">Save the lot</button>
          <a class="button" href="/lots">
            Cancel
          </a>
        </p>
      </form>
    </Page>
  )
}
