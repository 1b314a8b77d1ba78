// Coming in and going out: signing in and out, and the links that let somebody in.
import { Hono } from 'hono'
import type { Context } from 'hono'
import { hasAdministrator } from '../../people/people.ts'
import { endSession } from '../../people/sessions.ts'
import { addressKey } from '../../platform/limits.ts'
import { clientAddress } from '../../platform/request.ts'
import type { Env } from '../../platform/services.ts'
import { FormProblems, PasswordField, show, submit, TextField } from '../form-page.tsx'
import { freshForm } from '../form.ts'
import type { FormReader, FormState } from '../form.ts'
import { Page } from '../layout.tsx'
import { saveFirst, showFirst } from './first.tsx'
import { refuseOpenNetwork, signInHere } from './guard.tsx'
import { openRecord, showRecordLink } from './open-record.tsx'
import { dropCookie, personOfCookie } from './session-cookie.ts'
import { savePassword, showPasswordLink } from './set-password.tsx'

/** Mounted before the office: nobody is signed in yet. */
export const signInPages = new Hono<Env>()

/** Every secret link counts its tries, so that none can be guessed. */
signInPages.use('/:link{first|set-password|open}/:token', async (c, next) => {
  await c.get('doors').limits.count('link address', addressKey(clientAddress(c)))
  c.header('cache-control', 'no-store')
  await next()
})

signInPages.get('/sign-in', async (c) => {
  refuseOpenNetwork(c)
  return show(c, await signInPage(c, freshForm({ next: c.req.query('next') ?? '' })))
})
signInPages.post('/sign-in', (c) =>
  submit(c, { page: (form) => signInPage(c, form), save: (form) => enter(c, form) }),
)
signInPages.post('/sign-out', async (c) => {
  const person = await personOfCookie(c)
  const { db } = c.get('services')
  if (person?.sessionId !== undefined) await endSession(db, person.personId, person.sessionId)
  dropCookie(c)
  return c.redirect('/sign-in', 303)
})

signInPages.get('/first/:token', showFirst).post('/first/:token', saveFirst)
signInPages.get('/set-password/:token', showPasswordLink).post('/set-password/:token', savePassword)
signInPages.get('/open/:token', showRecordLink).post('/open/:token', openRecord)

async function enter(c: Context<Env>, form: FormReader): Promise<string> {
  const signInName = form.text('signInName', 'the sign-in name')
  const password = form.values.password?.[0] ?? ''
  if (password === '') form.problem('password', 'your password is needed')
  form.check()
  await signInHere(c, signInName, password)
  return ownPath(form.raw('next'))
}

/** Where to go on: a path of this server, or today's work. Nothing leads to another site. */
export function ownPath(asked: string): string {
  const isPath = /^\/(?![/\\])[!-~]{0,500}$/.test(asked) && !asked.includes('\\')
  return isPath && !/^\/(sign-in|sign-out)\b/.test(asked) ? asked : '/today'
}

async function signInPage(c: Context<Env>, form: FormState) {
  const isNew = !(await hasAdministrator(c.get('services').db))
  return (
    <Page c={c} title="Sign in">
      {isNew ? (
        <p class="note">
          Nobody is an administrator yet. Open the link that was printed where Canemark was started.
        </p>
      ) : null}
      <form method="post" action="/sign-in">
        <FormProblems form={form} />
        <input type="hidden" name="next" value={form.values.next?.[0] ?? ''} />
        <TextField
          form={form}
          name="signInName"
          label="Sign-in name"
          autocomplete="username"
          required
        />
        <PasswordField
          form={form}
          name="password"
          label="Password"
          autocomplete="current-password"
          required
        />
        <p class="actions">
          <button class="main">Sign in</button>
        </p>
      </form>
      <p class="quiet">Forgotten? An administrator can give you a link to set a new password.</p>
    </Page>
  )
}
