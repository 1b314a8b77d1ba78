// People who work here: adding one, putting a name right, ending their time.
import type { Context } from 'hono'
import { personProblems } from '../../nursery/checks.ts'
import { addPerson, endPerson, renamePerson, woodHeldBy } from '../../nursery/people.ts'
import { listPeople, nurseryTimeZone } from '../../nursery/read.ts'
import type { PersonLine } from '../../nursery/read.ts'
import type { Env } from '../../platform/services.ts'
import { freshForm } from '../form.ts'
import type { FormReader, FormState } from '../form.ts'
import { FormProblems, show, submit, TextField, TickField } from '../form-page.tsx'
import { Page, Table } from '../layout.tsx'
import { found, pathId } from '../path-id.ts'
import { shownDay } from '../times.ts'
import { typedName } from '../typed-text.ts'
import { NurseryMenu } from './menu.tsx'

/** Shows the people and the form that adds one. */
export async function showPeople(c: Context<Env>) {
  return show(c, await peoplePage(c, freshForm()))
}

/** Adds a person. */
export function savePerson(c: Context<Env>) {
  const { db } = c.get('services')
  return submit(c, {
    save: async (form) => {
      const name = typedName(form, 'name', 'the name')
      form.addProblems(personProblems(await listPeople(db), { personId: null, name }))
      form.check()
      await addPerson(db, name)
      return '/nursery/people'
    },
    page: (form) => peoplePage(c, form),
  })
}

/** Shows the form that changes one person. */
export async function showPersonForm(c: Context<Env>) {
  const person = await personInPath(c)
  const ended = person.ended_at === null ? [] : ['yes']
  return show(c, personPage(c, person, freshForm({ name: person.name, ended })))
}

/** Changes one person's name, or ends or begins again their time. */
export async function changePerson(c: Context<Env>) {
  const person = await personInPath(c)
  return submit(c, {
    save: (form) => change(c, person, form),
    page: (form) => personPage(c, person, form),
  })
}

async function change(c: Context<Env>, person: PersonLine, form: FormReader): Promise<string> {
  const { db, clock } = c.get('services')
  const personId = person.person_id
  const ended = form.all('ended').includes('yes')
  const name = typedName(form, 'name', 'the name')
  form.addProblems(ended ? [] : personProblems(await listPeople(db), { personId, name }))
  if (ended && person.ended_at === null) {
    const held = await woodHeldBy(db, personId)
    if (held.length > 0) {
      const message = `wood of ${held.join(', ')} is still with ${person.name}: take it back first`
      form.problem('ended', message)
    }
  }
  form.check()
  if (name !== person.name) await renamePerson(db, personId, name)
  if (ended !== (person.ended_at !== null)) {
    await endPerson(db, personId, ended ? clock.now() : null)
  }
  return '/nursery/people'
}

async function personInPath(c: Context<Env>): Promise<PersonLine> {
  const personId = pathId(c, 'personId', 'person')
  const people = await listPeople(c.get('services').db)
  return found(
    people.find((one) => one.person_id === personId),
    'person',
  )
}

async function peoplePage(c: Context<Env>, form: FormState) {
  const { db } = c.get('services')
  const [people, zone] = [await listPeople(db), await nurseryTimeZone(db)]
  return (
    <Page
      c={c}
      title="People"
      lead={
        'Who did a thing is chosen from this list. Names are kept here alone, never in the ' +
        'journal, so that they can be put right or erased.'
      }
    >
      <NurseryMenu at="/nursery/people" />
      <Table caption={`${people.length} people`} head={['Name', 'Since', 'Until']}>
        {people.map((person) => (
          <tr>
            <td>
              <a href={`/nursery/people/${person.person_id}`}>{person.name}</a>
            </td>
            <td>{shownDay(person.created_at, zone)}</td>
            <td>{person.ended_at === null ? '' : shownDay(person.ended_at, zone)}</td>
          </tr>
        ))}
      </Table>
      <h2>Add a person</h2>
      <form method="post">
        <FormProblems form={form} />
        <TextField form={form} name="name" label="Name" required />
        <p class="actions">
          <button class="main">Add</button>
        </p>
      </form>
    </Page>
  )
}

function personPage(c: Context<Env>, person: PersonLine, form: FormState) {
  return (
    <Page
      c={c}
      title={person.name}
      lead="A new name shows wherever the old one did; what was done stays as it is."
    >
      <form method="post">
        <FormProblems form={form} />
        <TextField form={form} name="name" label="Name" required />
        <TickField
          form={form}
          name="ended"
          label="Time here"
          options={[{ value: 'yes', label: 'works here no longer' }]}
        />
        <p class="actions">
          <button class="main">Save</button>
          <a class="button" href="/nursery/people">
            Cancel
          </a>
        </p>
      </form>
    </Page>
  )
}
