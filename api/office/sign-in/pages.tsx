// Coming in and going out: the first administrator's link, signing in, signing out.
import { Hono } from 'hono'
import type { Context } from 'hono'
import type { Child } from 'hono/jsx'
import { checkFirstLink, makeFirstAdministrator } from '../../people/first-run.ts'
import { signInNameProblem } from '../../people/people.ts'
import { PASSWORD_LEAST } from '../../people/passwords.ts'
import { endSession } from '../../people/sessions.ts'
import { signIn } from '../../people/sign-in.ts'
import { clientAddress } from '../../platform/request.ts'
import type { Env } from '../../platform/services.ts'
import { FormProblems, TextField, show, submit } from '../form-page.tsx'
import { freshForm } from '../form.ts'
import type { FormReader, FormState } from '../form.ts'
import { typedName } from '../typed-text.ts'
import { dropCookie, giveCookie, personOfCookie } from './session-cookie.ts'

/** Mounted before the office: nobody is signed in yet. */
export const signInPages = new Hono<Env>()

signInPages.get('/sign-in', (c) => show(c, <SignIn form={freshForm()} />))
signInPages.post('/sign-in', (c) =>
  submit(c, { page: (form) => <SignIn form={form} />, save: (form) => enter(c, form) }),
)
signInPages.post('/sign-out', async (c) => {
  const person = await personOfCookie(c)
  const { db } = c.get('services')
  if (person?.sessionId !== undefined) await endSession(db, person.personId, person.sessionId)
  dropCookie(c)
  return c.redirect('/sign-in', 303)
})
signInPages.get('/first/:token', async (c) => {
  const { db, clock } = c.get('services')
  await checkFirstLink(db, c.req.param('token'), clock.now())
  return show(c, <First c={c} form={freshForm()} />)
})
signInPages.post('/first/:token', (c) =>
  submit(c, { page: (form) => <First c={c} form={form} />, save: (form) => begin(c, form) }),
)

async function enter(c: Context<Env>, form: FormReader): Promise<string> {
  const { db, clock } = c.get('services')
  const signInName = form.text('signInName', 'Your sign-in name')
  const password = form.values.password?.[0] ?? ''
  if (password === '') form.problem('password', 'your password is needed')
  form.check()
  const token = await signIn(db, c.get('doors').limits, {
    ...{ signInName, password, address: clientAddress(c), now: clock.now() },
    browser: c.req.header('user-agent') ?? '',
  })
  giveCookie(c, token)
  return '/today'
}

async function begin(c: Context<Env>, form: FormReader): Promise<string> {
  const { db, clock } = c.get('services')
  const name = typedName(form, 'name', 'Your name')
  const signInName = form.text('signInName', 'A sign-in name').toLowerCase()
  const problem = signInNameProblem(signInName)
  if (signInName !== '' && problem !== null) form.problem('signInName', problem)
  const password = form.values.password?.[0] ?? ''
  if (password === '') form.problem('password', 'a password is needed')
  form.check()
  const now = clock.now()
  await makeFirstAdministrator(db, c.req.param('token') ?? '', { name, signInName, password, now })
  const token = await signIn(db, c.get('doors').limits, {
    ...{ signInName, password, address: clientAddress(c), now },
    browser: c.req.header('user-agent') ?? '',
  })
  giveCookie(c, token)
  return '/begin'
}

function Outside({ title, children }: { title: string; children?: Child }) {
  return (
    <html lang="en">
      <head>
        <meta charset="utf-8" />
        <meta name="viewport" content="width=device-width, initial-scale=1" />
        <title>{`${title} – Canemark`}</title>
        <link rel="stylesheet" href="/assets/office.css" />
        <link rel="icon" href="/assets/mark.svg" type="image/svg+xml" />
      </head>
      <body>
        <main>
          <h1>{title}</h1>
          {children}
        </main>
      </body>
    </html>
  )
}

function SignIn({ form }: { form: FormState }) {
  return (
    <Outside title="Sign in">
      <FormProblems form={form} />
      <form method="post" action="/sign-in">
        <TextField form={form} name="signInName" label="Sign-in name" required />
        <PasswordField form={form} hint="" />
        <button class="main">Sign in</button>
      </form>
    </Outside>
  )
}

function First({ c, form }: { c: Context<Env>; form: FormState }) {
  return (
    <Outside title="Make the first administrator">
      <p>This link works once. Whoever uses it administers this nursery’s records.</p>
      <FormProblems form={form} />
      <form method="post" action={c.req.path}>
        <TextField form={form} name="name" label="Your name" required />
        <TextField form={form} name="signInName" label="Sign-in name" required />
        <PasswordField form={form} hint={`at least ${PASSWORD_LEAST} characters; a few words do`} />
        <button class="main">Begin</button>
      </form>
    </Outside>
  )
}

/** What was typed is never shown back. */
function PasswordField({ form, hint }: { form: FormState; hint: string }) {
  const error = form.errors.password
  return (
    <div class={error === undefined ? 'field' : 'field wrong'}>
      <label for="field-password">Password</label>
      {hint === '' ? null : <p class="hint">{hint}</p>}
      <input id="field-password" name="password" type="password" required />
      {error === undefined ? null : <p class="error">{error}</p>}
    </div>
  )
}
