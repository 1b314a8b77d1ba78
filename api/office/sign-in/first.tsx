// The one-time link of the first start: whoever opens it becomes the administrator.
import type { Context } from 'hono'
import { checkFirstLink, makeFirstAdministrator } from '../../people/first-run.ts'
import { beginSession } from '../../people/sessions.ts'
import type { Env } from '../../platform/services.ts'
import { freshForm } from '../form.ts'
import type { FormReader, FormState } from '../form.ts'
import { FormProblems, show, submit, TextField } from '../form-page.tsx'
import { Page } from '../layout.tsx'
import { typedName } from '../typed-text.ts'
import { refuseOpenNetwork } from './guard.tsx'
import { newPassword, NewPasswordFields } from './new-password.tsx'
import { giveCookie } from './session-cookie.ts'
import { SignInNameField, typedSignInName } from './sign-in-name.tsx'

/** Shows the form, or says that the link is void. */
export async function showFirst(c: Context<Env>) {
  const { db, clock } = c.get('services')
  refuseOpenNetwork(c)
  await checkFirstLink(db, c.req.param('token') ?? '', clock.now())
  return show(c, firstPage(c, freshForm()))
}

/** Makes the administrator and signs them in. */
export function saveFirst(c: Context<Env>) {
  return submit(c, { page: (form) => firstPage(c, form), save: (form) => save(c, form) })
}

async function save(c: Context<Env>, form: FormReader): Promise<string> {
  const { db, clock } = c.get('services')
  refuseOpenNetwork(c)
  const now = clock.now()
  const token = c.req.param('token') ?? ''
  await checkFirstLink(db, token, now)
  const name = typedName(form, 'name', 'your name')
  const signInName = typedSignInName(form) ?? ''
  if (form.raw('signInName') === '') form.problem('signInName', 'a sign-in name is needed')
  const password = newPassword(form)
  form.check()
  const personId = await makeFirstAdministrator(db, token, { name, signInName, password, now })
  const browser = c.req.header('user-agent') ?? ''
  giveCookie(c, await beginSession(db, { personId }, browser, now))
  return '/begin'
}

function firstPage(c: Context<Env>, form: FormState) {
  return (
    <Page
      c={c}
      title="Make the first administrator"
      lead="This link works once. Whoever uses it administers this nursery’s records."
    >
      <form method="post">
        <FormProblems form={form} />
        <TextField form={form} name="name" label="Your name" autocomplete="name" required />
        <SignInNameField form={form} required />
        <NewPasswordFields form={form} />
        <p class="actions">
          <button class="main">Begin</button>
        </p>
      </form>
    </Page>
  )
}
