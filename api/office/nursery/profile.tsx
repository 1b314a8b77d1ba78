// The nursery's particulars as they print on labels.
import type { Context } from 'hono'
import { recordAtDesk } from '../../journal/desk.ts'
import { profileProblems } from '../../nursery/checks.ts'
import { readNursery } from '../../nursery/read.ts'
import type { NurseryProfile } from '../../nursery/read.ts'
import type { Env } from '../../platform/services.ts'
import { deskOf } from '../desk.ts'
import { freshForm } from '../form.ts'
import type { FormReader, FormState } from '../form.ts'
import { FormProblems, NoteField, show, submit, TextField } from '../form-page.tsx'
import { Page } from '../layout.tsx'
import { afterSaving, Saved } from '../saved.tsx'
import { typedName, typedNameOrNull, typedNote } from '../typed-text.ts'
import { NurseryMenu } from './menu.tsx'

/** Shows the particulars. */
export async function showProfile(c: Context<Env>) {
  const nursery = await readNursery(c.get('services').db)
  return show(
    c,
    <Page
      c={c}
      title="Nursery"
      lead="What prints on labels, and the time zone that days are counted in."
      actions={
        <a class="button main" href="/nursery/profile">
          {nursery === null ? 'Describe the nursery' : 'Change'}
        </a>
      }
    >
      <NurseryMenu at="/nursery" />
      <Saved c={c} />
      {nursery === null ? (
        <p class="note">Nothing is known of the nursery yet; until then days are those of UTC.</p>
      ) : (
        <Particulars nursery={nursery} />
      )}
    </Page>,
  )
}

function Particulars({ nursery }: { nursery: NurseryProfile }) {
  const facts: [string, string][] = [
    ['Name', nursery.name],
    ['Address', nursery.address],
    ['Country', nursery.country],
    ['Operator number', nursery.operator_number ?? 'none given'],
    ['Certification body', nursery.certification_body ?? 'none given'],
    ['Host on leaving labels', nursery.label_host ?? 'none given'],
    ['Time zone', nursery.time_zone],
  ]
  return (
    <dl class="facts">
      {facts.map(([name, value]) => (
        <>
          <dt>{name}</dt>
          <dd class="lines">{value}</dd>
        </>
      ))}
    </dl>
  )
}

/** Shows the form, filled with what stands. */
export async function showProfileForm(c: Context<Env>) {
  const nursery = await readNursery(c.get('services').db)
  const start = {
    name: nursery?.name ?? '',
    address: nursery?.address ?? '',
    country: nursery?.country ?? '',
    operatorNumber: nursery?.operator_number ?? '',
    certificationBody: nursery?.certification_body ?? '',
    labelHost: nursery?.label_host ?? '',
    timeZone: nursery?.time_zone ?? '',
  }
  return show(c, profilePage(c, freshForm(start)))
}

/** Saves the particulars. */
export function saveProfile(c: Context<Env>) {
  return submit(c, {
    save: (form) => save(c, form),
    page: (form) => profilePage(c, form),
  })
}

async function save(c: Context<Env>, form: FormReader): Promise<string> {
  const body = {
    name: typedName(form, 'name', 'the name'),
    address: typedNote(form, 'address', 'the address'),
    country: form.text('country', 'the country').toUpperCase(),
    operatorNumber: typedNameOrNull(form, 'operatorNumber', 'the operator number'),
    certificationBody: typedNameOrNull(form, 'certificationBody', 'the certification body'),
    labelHost: form.optional('labelHost')?.toLowerCase() ?? null,
    timeZone: form.text('timeZone', 'the time zone'),
  }
  // An empty field has been named already.
  form.addProblems(profileProblems(body).filter(({ field }) => form.raw(field) !== ''))
  form.check()
  await recordAtDesk(c.get('services').db, deskOf(c), [{ kind: 'nursery.described', body }])
  return afterSaving('/nursery', 1)
}

function profilePage(c: Context<Env>, form: FormState) {
  return (
    <Page c={c} title="Describe the nursery" lead="A later description replaces an earlier one.">
      <form method="post">
        <FormProblems form={form} />
        <TextField form={form} name="name" label="Name" required />
        <NoteField form={form} name="address" label="Address" />
        <TextField
          form={form}
          name="country"
          label="Country"
          hint="two letters (ISO 3166-1), like ES"
          size={4}
          required
        />
        <TextField
          form={form}
          name="operatorNumber"
          label="Operator number"
          hint="as the plant health authority registered it"
        />
        <TextField form={form} name="certificationBody" label="Certification body" />
        <TextField
          form={form}
          name="labelHost"
          label="Host on leaving labels"
          hint="where anyone can look a label up, like labels.example.org"
        />
        <TextField
          form={form}
          name="timeZone"
          label="Time zone"
          hint="like Europe/Madrid; days and seasons are counted in it"
          list="time-zones"
          required
        />
        <datalist id="time-zones">
          {Intl.supportedValuesOf('timeZone').map((zone) => (
            <option value={zone} />
          ))}
        </datalist>
        <p class="actions">
          <button class="main">Save</button>
          <a class="button" href="/nursery">
            Cancel
          </a>
        </p>
      </form>
    </Page>
  )
}
