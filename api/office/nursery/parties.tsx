// Firms and crews: suppliers, customers, laboratories, authorities, and who grafts.
import type { Context } from 'hono'
import { recordAtDesk } from '../../journal/desk.ts'
import { partyProblems } from '../../nursery/checks.ts'
import { listParties, partyRoles } from '../../nursery/read.ts'
import type { PartyLine } from '../../nursery/read.ts'
import { newId } from '../../platform/clock.ts'
import type { Env } from '../../platform/services.ts'
import { deskOf } from '../desk.ts'
import { freshForm } from '../form.ts'
import type { FormReader, FormState } from '../form.ts'
import { FormProblems, NoteField, SelectField, show, submit, TextField } from '../form-page.tsx'
import { Page, Table } from '../layout.tsx'
import { found, pathId } from '../path-id.ts'
import { afterSaving, Saved } from '../saved.tsx'
import { typedName, typedNameOrNull, typedNote } from '../typed-text.ts'
import { NurseryMenu } from './menu.tsx'

/** Shows all firms and crews. */
export async function showParties(c: Context<Env>) {
  const parties = await listParties(c.get('services').db)
  return show(
    c,
    <Page
      c={c}
      title="Firms and crews"
      lead="Who supplies, holds, tests or receives wood. Private persons are under People."
      actions={
        <a class="button main" href="/nursery/parties/new">
          Register a firm or crew
        </a>
      }
    >
      <NurseryMenu at="/nursery/parties" />
      <Saved c={c} />
      {parties.length === 0 ? (
        <p class="note">No firm or crew is registered. Wood is handed to a crew or a person.</p>
      ) : (
        <Table
          caption={`${parties.length} firms and crews`}
          head={['Name', 'Role', 'Registration number', 'Note']}
        >
          {parties.map((party) => (
            <tr>
              <td>
                <a href={`/nursery/parties/${party.party_id}`}>{party.name}</a>
              </td>
              <td>{party.role}</td>
              <td>{party.registration_number ?? ''}</td>
              <td class="lines">{party.note}</td>
            </tr>
          ))}
        </Table>
      )}
    </Page>,
  )
}

/** Shows the form for a new firm or crew, or for the one in the address. */
export async function showPartyForm(c: Context<Env>) {
  const party = await partyInPath(c)
  const start = {
    name: party?.name ?? '',
    role: party?.role ?? c.req.query('role') ?? '',
    registrationNumber: party?.registration_number ?? '',
    note: party?.note ?? '',
  }
  return show(c, partyPage(c, party, freshForm(start)))
}

/** Registers or corrects a firm or crew. */
export async function saveParty(c: Context<Env>) {
  const party = await partyInPath(c)
  return submit(c, {
    save: (form) => save(c, party, form),
    page: (form) => partyPage(c, party, form),
  })
}

async function partyInPath(c: Context<Env>): Promise<PartyLine | null> {
  if (c.req.param('partyId') === undefined) return null
  const partyId = pathId(c, 'partyId', 'firm or crew')
  const known = await listParties(c.get('services').db)
  return found(
    known.find((one) => one.party_id === partyId),
    'firm or crew',
  )
}

async function save(c: Context<Env>, party: PartyLine | null, form: FormReader): Promise<string> {
  const { db } = c.get('services')
  const partyId = party?.party_id ?? null
  const body = {
    name: typedName(form, 'name', 'the name'),
    role: form.choice('role', 'what it is to the nursery', partyRoles),
    registrationNumber: typedNameOrNull(form, 'registrationNumber', 'the registration number'),
    note: typedNote(form, 'note', 'the note'),
  }
  form.addProblems(partyProblems(await listParties(db), { partyId, ...body }))
  form.check()
  await recordAtDesk(db, deskOf(c), [
    { kind: 'party.registered', body: { partyId: partyId ?? newId(), ...body } },
  ])
  return afterSaving('/nursery/parties', 1)
}

function partyPage(c: Context<Env>, party: PartyLine | null, form: FormState) {
  return (
    <Page
      c={c}
      title={party === null ? 'Register a firm or crew' : `Correct ${party.name}`}
      lead="Names here stand in the journal for ever: never write a private person’s name."
    >
      <form method="post">
        <FormProblems form={form} />
        <TextField form={form} name="name" label="Name of the firm or crew" required />
        <SelectField
          form={form}
          name="role"
          label="Role"
          options={partyRoles.map((role) => ({ value: role, label: role }))}
          required
        />
        <TextField form={form} name="registrationNumber" label="Registration number" />
        <NoteField form={form} name="note" label="Note" />
        <p class="actions">
          <button class="main">Save</button>
          <a class="button" href="/nursery/parties">
            Cancel
          </a>
        </p>
      </form>
    </Page>
  )
}
