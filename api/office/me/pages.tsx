// One's own sign-in: the password, and where one is signed in.
import { Hono } from 'hono'
import type { Context } from 'hono'
import { nurseryTimeZone, readNursery } from '../../nursery/read.ts'
import { changeOwnPassword } from '../../people/password-links.ts'
import { readPerson } from '../../people/people.ts'
import { roleWords } from '../../people/rights.ts'
import { endSession, listSessions } from '../../people/sessions.ts'
import type { SessionLine } from '../../people/sessions.ts'
import { refuse } from '../../platform/errors.ts'
import type { Env } from '../../platform/services.ts'
import { freshForm } from '../form.ts'
import type { FormReader, FormState } from '../form.ts'
import { FormProblems, show, submit } from '../form-page.tsx'
import { Page, Table } from '../layout.tsx'
import { pathId } from '../path-id.ts'
import { newPassword, NewPasswordFields } from '../sign-in/new-password.tsx'
import { shownTime } from '../times.ts'

export const mePages = new Hono<Env>()

mePages.get('/', async (c) => show(c, await mePage(c, freshForm())))
mePages.post('/password', (c) =>
  submit(c, { page: (form) => mePage(c, form), save: (form) => savePassword(c, form) }),
)
mePages.post('/sessions/:sessionId/end', async (c) => {
  const { personId } = c.get('person')
  const sessionId = pathId(c, 'sessionId', 'session')
  const ended = await endSession(c.get('services').db, personId, sessionId)
  if (!ended) refuse('not_found', 'You have no such session; it may have ended.', { status: 404 })
  return c.redirect('/me', 303)
})

async function savePassword(c: Context<Env>, form: FormReader): Promise<string> {
  const { db, clock } = c.get('services')
  const { personId, name, sessionId } = c.get('person')
  const password = newPassword(form)
  form.check()
  const [person, nursery] = [await readPerson(db, personId), await readNursery(db)]
  const about = [name, person?.sign_in_name ?? '', nursery?.name ?? '']
  const own = { personId, sessionId: sessionId ?? null }
  await changeOwnPassword(db, own, { password, about, now: clock.now() })
  return '/me?changed=password'
}

async function mePage(c: Context<Env>, form: FormState) {
  const { db, clock } = c.get('services')
  const { personId, name, role, sessionId } = c.get('person')
  const [person, sessions, zone] = await Promise.all([
    readPerson(db, personId),
    listSessions(db, personId, clock.now()),
    nurseryTimeZone(db),
  ])
  const words = role === 'auditor' ? '' : `: ${roleWords[role]}`
  return (
    <Page c={c} title={name} lead={`Your role is ${role}${words}.`}>
      {c.req.query('changed') === 'password' ? (
        <p class="note" role="status">
          Your password is changed. Everywhere else you are signed out.
        </p>
      ) : null}
      <h2>Where you are signed in</h2>
      <Sessions sessions={sessions} own={sessionId ?? ''} zone={zone} />
      <h2>Change your password</h2>
      <form method="post" action="/me/password">
        <FormProblems form={form} />
        <input type="hidden" name="username" value={person?.sign_in_name ?? ''} />
        <NewPasswordFields form={form} />
        <p class="actions">
          <button class="main">Change it</button>
        </p>
      </form>
    </Page>
  )
}

function Sessions(props: { sessions: SessionLine[]; own: string; zone: string }) {
  const { sessions, own, zone } = props
  const head = ['Browser', 'Since', 'Last used', 'Ends at the latest', 'End it']
  return (
    <Table caption="An unused session ends by itself after 12 hours" head={head}>
      {sessions.map((session) => (
        <tr>
          <td>{session.browser}</td>
          <td>{shownTime(session.began_at, zone)}</td>
          <td>{shownTime(session.last_used_at, zone)}</td>
          <td>{shownTime(session.expires_at, zone)}</td>
          <td>
            {session.session_id === own ? (
              'this one'
            ) : (
              <form method="post" action={`/me/sessions/${session.session_id}/end`}>
                <button>End</button>
              </form>
            )}
          </td>
        </tr>
      ))}
    </Table>
  )
}
