// One person: name, role and sign-in, a link for the password, and the end of their time here.
import type { Context } from 'hono'
import { personProblems } from '../../nursery/checks.ts'
import { woodHeldBy } from '../../nursery/people.ts'
import { listPeople, nurseryTimeZone } from '../../nursery/read.ts'
import { makePasswordLink, PASSWORD_LINK_MS } from '../../people/password-links.ts'
import { beginPersonsTime, changePerson, endPersonsTime, readPerson } from '../../people/people.ts'
import type { PersonLine } from '../../people/people.ts'
import type { Env } from '../../platform/services.ts'
import { requestOrigin } from '../../platform/request.ts'
import { freshForm } from '../form.ts'
import type { FormReader, FormState } from '../form.ts'
import { FormProblems, show, submit } from '../form-page.tsx'
import { Page } from '../layout.tsx'
import { found, pathId } from '../path-id.ts'
import { shownDay } from '../times.ts'
import { PersonFields, typedPerson } from './person-fields.tsx'
import { SecretLink } from './secret.tsx'

/** Shows the person. */
export async function showPerson(c: Context<Env>) {
  const person = await personInPath(c)
  return show(c, await personPage(c, person, startOf(person)))
}

/** Changes name, role or sign-in name. */
export async function savePerson(c: Context<Env>) {
  const person = await personInPath(c)
  return submit(c, {
    page: (form) => personPage(c, person, form),
    save: async (form) => {
      const { db } = c.get('services')
      const details = typedPerson(form)
      const named = { personId: person.person_id, name: details.name }
      form.addProblems(personProblems(await listPeople(db), named))
      form.check()
      await changePerson(db, person.person_id, details)
      return '/people'
    },
  })
}

/** Makes a link by which the person sets a password, and shows it once. */
export async function makeLink(c: Context<Env>) {
  const { db, clock } = c.get('services')
  const person = await personInPath(c)
  const by = { personId: c.get('person').personId, now: clock.now() }
  const token = await makePasswordLink(db, person.person_id, by)
  const hours = PASSWORD_LINK_MS / 3_600_000
  return show(
    c,
    <Page c={c} title={`A link for ${person.name}`}>
      <SecretLink
        address={`${requestOrigin(c)}/set-password/${token}`}
        label="Link to set a password"
        note={
          `Shown only now. Hand it to ${person.name} yourself: whoever opens it sets the ` +
          `password. It works once, within ${hours} hours; an earlier link is void.`
        }
      />
      <p>
        <a href={`/people/${person.person_id}`}>Back to {person.name}</a>
      </p>
    </Page>,
  )
}

/** Ends the person's time here, or begins it again. */
export async function saveTime(c: Context<Env>) {
  const person = await personInPath(c)
  return submit(c, {
    page: (form) => personPage(c, person, { ...startOf(person), ...problemsOf(form) }),
    save: (form) => changeTime(c, person, form),
  })
}

async function changeTime(c: Context<Env>, person: PersonLine, form: FormReader): Promise<string> {
  const { db, clock } = c.get('services')
  const personId = person.person_id
  if (person.ended_at === null) {
    const held = await woodHeldBy(db, personId)
    if (held.length > 0) {
      const message = `wood of ${held.join(', ')} is still with ${person.name}: take it back first`
      form.problem('ended', message)
    }
    form.check()
    await endPersonsTime(db, personId, clock.now())
  } else {
    form.addProblems(personProblems(await listPeople(db), { personId, name: person.name }))
    form.check()
    await beginPersonsTime(db, personId)
  }
  return '/people'
}

async function personInPath(c: Context<Env>): Promise<PersonLine> {
  const personId = pathId(c, 'personId', 'person')
  return found(await readPerson(c.get('services').db, personId), 'person')
}

function startOf({ name, role, sign_in_name }: PersonLine): FormState {
  return freshForm({ name, role, signInName: sign_in_name ?? '' })
}

const problemsOf = ({ errors, general }: FormState) => ({ errors, general })

async function personPage(c: Context<Env>, person: PersonLine, form: FormState) {
  const zone = await nurseryTimeZone(c.get('services').db)
  const path = `/people/${person.person_id}`
  return (
    <Page
      c={c}
      title={person.name}
      lead="A new name shows wherever the old one did; what was done stays as it is."
    >
      <form method="post" action={path}>
        <FormProblems form={form} />
        <PersonFields form={form} />
        <p class="actions">
          <button class="main">Save</button>
          <a class="button" href="/people">
            Cancel
          </a>
        </p>
      </form>
      {person.sign_in_name === null || person.ended_at !== null ? null : (
        <section>
          <h2>Password</h2>
          <p>
            {person.has_password
              ? 'Forgotten? A link lets this person set a new one; it ends all their sessions.'
              : 'This person has set no password yet.'}
          </p>
          <form method="post" action={`${path}/link`}>
            <button>Make a link to set a password</button>
          </form>
        </section>
      )}
      <TimeHere person={person} zone={zone} error={form.errors.ended} />
    </Page>
  )
}

function TimeHere(props: { person: PersonLine; zone: string; error: string | undefined }) {
  const { person, zone, error } = props
  return (
    <form method="post" action={`/people/${person.person_id}/time`} id="field-ended">
      <h2>Time here</h2>
      <p>
        Since {shownDay(person.created_at, zone)}
        {person.ended_at === null ? '' : `, until ${shownDay(person.ended_at, zone)}`}.
      </p>
      {error === undefined ? null : <p class="error">{error}</p>}
      <button>
        {person.ended_at === null
          ? 'Works here no longer: sign out everywhere'
          : 'Works here again'}
      </button>
    </form>
  )
}
