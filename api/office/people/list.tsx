// People who work here: the list, and adding somebody.
import type { Context } from 'hono'
import { personProblems } from '../../nursery/checks.ts'
import { listPeople, nurseryTimeZone } from '../../nursery/read.ts'
import { addPersonWithRole, listEverybody } from '../../people/people.ts'
import type { PersonLine } from '../../people/people.ts'
import { may } from '../../people/rights.ts'
import type { Env } from '../../platform/services.ts'
import { freshForm } from '../form.ts'
import type { FormReader, FormState } from '../form.ts'
import { FormProblems, show, submit } from '../form-page.tsx'
import { Page, Table } from '../layout.tsx'
import { shownDay } from '../times.ts'
import { PeopleMenu } from './menu.tsx'
import { PersonFields, typedPerson } from './person-fields.tsx'

/** Shows everybody. */
export async function showPeople(c: Context<Env>) {
  const { db } = c.get('services')
  const [people, zone] = await Promise.all([listEverybody(db), nurseryTimeZone(db)])
  const mayChange = may(c.get('person').role, 'manage people')
  return show(
    c,
    <Page
      c={c}
      title="People"
      lead={
        'Who did a thing is chosen from this list. Names are kept here alone, never in the ' +
        'journal, so that they can be put right or erased.'
      }
      actions={
        mayChange ? (
          <a class="button main" href="/people/new">
            Add a person
          </a>
        ) : null
      }
    >
      <PeopleMenu at="/people" />
      <Table
        caption={`${people.length} people`}
        head={['Name', 'Role', 'Sign-in name', 'Signs in?', 'Since', 'Until']}
      >
        {people.map((person) => (
          <tr>
            <td>
              {mayChange ? <a href={`/people/${person.person_id}`}>{person.name}</a> : person.name}
            </td>
            <td>{person.role}</td>
            <td>{person.sign_in_name ?? ''}</td>
            <td>{signsIn(person)}</td>
            <td>{shownDay(person.created_at, zone)}</td>
            <td>{person.ended_at === null ? '' : shownDay(person.ended_at, zone)}</td>
          </tr>
        ))}
      </Table>
    </Page>,
  )
}

function signsIn(person: PersonLine): string {
  if (person.ended_at !== null) return 'has left'
  if (person.sign_in_name === null) {
    return person.role === 'crew' ? 'no: works by phone' : 'no: has no sign-in name'
  }
  return person.has_password ? 'yes' : 'has set no password yet'
}

/** Shows the form for a new person. */
export function showNewPerson(c: Context<Env>) {
  return show(c, newPersonPage(c, freshForm({ role: 'crew' })))
}

/** Adds the person. */
export function saveNewPerson(c: Context<Env>) {
  return submit(c, { page: (form) => newPersonPage(c, form), save: (form) => add(c, form) })
}

async function add(c: Context<Env>, form: FormReader): Promise<string> {
  const { db } = c.get('services')
  const details = typedPerson(form)
  form.addProblems(personProblems(await listPeople(db), { personId: null, name: details.name }))
  form.check()
  return `/people/${await addPersonWithRole(db, details)}`
}

function newPersonPage(c: Context<Env>, form: FormState) {
  return (
    <Page
      c={c}
      title="Add a person"
      lead="Whoever works by phone only needs no sign-in name and no password."
    >
      <form method="post" action="/people/new">
        <FormProblems form={form} />
        <PersonFields form={form} />
        <p class="actions">
          <button class="main">Add</button>
          <a class="button" href="/people">
            Cancel
          </a>
        </p>
      </form>
    </Page>
  )
}
