// The form by which wood that comes in from a supplier becomes a lot.
import type { Context } from 'hono'
import { recordChecked } from '../../journal/checked-desk.ts'
import { receiveLot } from '../../lots/new-lot.ts'
import { listParties, listVarieties } from '../../nursery/read.ts'
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
import { typedNameOrNull } from '../typed-text.ts'
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

/** The choice that says that nobody knows where the wood was cut. */
const UNKNOWN_ORIGIN = 'unknown'

/** Shows the form. */
export async function showReceive(c: Context<Env>) {
  const { db, clock } = c.get('services')
  const { zone } = await readChoices(db)
  const start = await newLotStart(db, clock.now(), zone)
  return show(c, await receivePage(c, freshForm({ ...start, unit: 'stick' })))
}

/** Saves the lot, or shows the form again. */
export function saveReceive(c: Context<Env>) {
  return submit(c, { save: (form) => save(c, form), page: (form) => receivePage(c, form) })
}

async function save(c: Context<Env>, form: FormReader): Promise<string> {
  const { db, clock } = c.get('services')
  const choices = await readChoices(db)
  const options = { asSource: false, when: 'Received', countField: 'count', countLabel: 'How many' }
  const wish = readLotWish(form, choices, clock.now(), options)
  const isUnknown = form.raw('origin') === UNKNOWN_ORIGIN
  const made = await receiveLot(db, {
    ...wish,
    unit: form.choice('unit', 'what was counted', ['stick', 'bud']),
    varietyId: chosenId(form, 'varietyId', 'the variety'),
    supplierId: chosenId(form, 'supplierId', 'the supplier'),
    supplierReference: typedNameOrNull(form, 'supplierReference', 'The supplier’s reference'),
    passportCode: typedNameOrNull(form, 'passportCode', 'Traceability code'),
    sourceId: isUnknown
      ? null
      : chosenId(form, 'origin', 'the source it was cut from, or say that it is unknown'),
  })
  form.addProblems(made.problems)
  form.check()
  const ids = await recordChecked(db, deskOf(c), made.drafts, (trx) =>
    referenceProblems(trx, [{ field: 'reference', reference: wish.reference }]),
  )
  return afterSaving(`/lots/${made.lotId}`, ids.length)
}

async function receivePage(c: Context<Env>, form: FormState) {
  const { db, clock } = c.get('services')
  const text = (form.values.sources?.[0] ?? c.req.query('sources') ?? '').slice(0, 100)
  const [choices, names, register, suppliers, varieties] = await Promise.all([
    readChoices(db),
    readClassNames(db, clock.now()),
    sourceOptions(db, text, clock.now()),
    listParties(db, 'supplier'),
    listVarieties(db),
  ])
  const origins = [
    { value: UNKNOWN_ORIGIN, label: 'unknown: nobody can say where it was cut' },
    ...register.options,
  ]
  return (
    <Page c={c} title="Receive a lot" lead="Wood or vines that come in from outside.">
      <SourceSearch shown={register.sources.length >= SOURCE_PAGE || text !== ''} text={text} />
      <form method="post">
        <FormProblems form={form} />
        {text === '' ? null : <input type="hidden" name="sources" value={text} />}
        <div class="columns">
          <TextField form={form} name="reference" label="Lot reference" required size={16} />
          <SelectField
            form={form}
            name="supplierId"
            label="Supplier"
            required
            options={suppliers.map(({ party_id, name }) => ({ value: party_id, label: name }))}
          />
          <TextField form={form} name="supplierReference" label="The supplier’s reference" />
          <TextField
            form={form}
            name="passportCode"
            label="Traceability code of the plant passport"
            hint="as printed after the letter C; keep the passport itself, the law sets how long"
          />
          <SelectField
            form={form}
            name="varietyId"
            label="Variety"
            required
            options={varieties.map(({ variety_id, name }) => ({ value: variety_id, label: name }))}
          />
          <SelectField form={form} name="origin" label="Cut from" required options={origins} />
          <IdentityFields form={form} names={names} asSource={false} />
          <NumberField form={form} name="count" label="How many" required />
          <SelectField form={form} name="unit" label="Counted in" required options={unitOptions} />
          <BundleFields form={form} />
          <ArrivalFields form={form} choices={choices} when="Received" />
        </div>
        <PackageCounts />
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

const unitOptions = [
  { value: 'stick', label: 'sticks or vines' },
  { value: 'bud', label: 'single buds' },
]
