// Making a machine known: a logger, a script, a copy elsewhere, with a token and few rights.
import type { Context } from 'hono'
import { entryKinds, isEntryKind } from '#wire/entry.ts'
import { officeKinds } from '#wire/kinds/devices.ts'
import { makeMachine } from '../../people/devices.ts'
import type { Env } from '../../platform/services.ts'
import { deskOf } from '../desk.ts'
import { freshForm } from '../form.ts'
import type { FormReader, FormState } from '../form.ts'
import { FormProblems, show, TextField, TickField } from '../form-page.tsx'
import { Page } from '../layout.tsx'
import { typedName } from '../typed-text.ts'
import { showOnce } from './show-once.ts'

const writable = Object.keys(entryKinds).filter((kind) => !officeKinds.has(kind))

/** Asks for the name and what it may do. */
export function showNewMachine(c: Context<Env>) {
  return show(c, machinePage(c, freshForm()))
}

/** Makes the machine known and shows its token, once. */
export function saveNewMachine(c: Context<Env>) {
  return showOnce(c, { make: (form) => make(c, form), page: (form) => machinePage(c, form) })
}

async function make(c: Context<Env>, form: FormReader) {
  const name = typedName(form, 'name', 'the name')
  const mayRead = form.all('mayRead').includes('yes')
  const writeKinds = form
    .all('writeKinds')
    .filter(isEntryKind)
    .filter((kind) => writable.includes(kind))
  if (!mayRead && writeKinds.length === 0) {
    form.problem('writeKinds', 'it may neither read nor write: tick what it is for')
  }
  form.check()
  const machine = { name, writeKinds, mayRead }
  const { deviceId, token } = await makeMachine(c.get('services').db, deskOf(c), machine)
  return (
    <Page c={c} title={`The token of ${name}`}>
      <p class="note" role="status">
        Shown only now. Whoever holds it writes as this machine. If it is lost or seen by others,
        revoke the machine and make a new one.
      </p>
      <p>
        <label for="machine-token">Token</label>
        <input id="machine-token" type="text" readonly size={50} value={token} />
      </p>
      <p>
        <label for="machine-id">The id that its entries name as device</label>
        <input id="machine-id" type="text" readonly size={50} value={deviceId} />
      </p>
      <p>
        It sends <code>Authorization: Bearer TOKEN</code> with each request; the machine API is
        described at <a href="/api/docs">/api/docs</a>.
      </p>
      <p>
        <a href={`/people/devices/${deviceId}`}>To the machine</a>
      </p>
    </Page>
  )
}

function machinePage(c: Context<Env>, form: FormState) {
  return (
    <Page
      c={c}
      title="Make a machine known"
      lead="For loggers, scripts and copies elsewhere. Its entries prove the token, not a key."
    >
      <form method="post" action="/people/devices/machine">
        <FormProblems form={form} />
        <TextField form={form} name="name" label="What it is called" required />
        <TickField
          form={form}
          name="mayRead"
          label="Reading"
          options={[{ value: 'yes', label: 'may read the whole record' }]}
        />
        <TickField
          form={form}
          name="writeKinds"
          label="Entries that it may write"
          options={writable.map((kind) => ({ value: kind, label: kind }))}
        />
        <p class="actions">
          <button class="main">Make it known</button>
          <a class="button" href="/people/devices">
            Cancel
          </a>
        </p>
      </form>
    </Page>
  )
}
