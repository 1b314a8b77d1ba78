// The one-time link by which somebody sets their own password.
import type { Context } from 'hono'
import { readNursery } from '../../nursery/read.ts'
import { readPasswordLink, useLink } from '../../people/password-links.ts'
import { beginSession } from '../../people/sessions.ts'
import type { Env } from '../../platform/services.ts'
import { freshForm } from '../form.ts'
import type { FormReader, FormState } from '../form.ts'
import { FormProblems, show, submit } from '../form-page.tsx'
import { Page } from '../layout.tsx'
import { refuseOpenNetwork } from './guard.tsx'
import { newPassword, NewPasswordFields } from './new-password.tsx'
import { giveCookie } from './session-cookie.ts'

/** Shows the form, or says that the link is void. */
export async function showPasswordLink(c: Context<Env>) {
  refuseOpenNetwork(c)
  return show(c, await passwordPage(c, freshForm()))
}

/** Sets the password and signs the person in. */
export function savePassword(c: Context<Env>) {
  return submit(c, { page: (form) => passwordPage(c, form), save: (form) => save(c, form) })
}

async function save(c: Context<Env>, form: FormReader): Promise<string> {
  const { db, clock } = c.get('services')
  refuseOpenNetwork(c)
  const now = clock.now()
  const password = newPassword(form)
  form.check()
  const nurseryName = (await readNursery(db))?.name ?? null
  const token = c.req.param('token') ?? ''
  const { personId } = await useLink(db, token, { password, nurseryName, now })
  const browser = c.req.header('user-agent') ?? ''
  giveCookie(c, await beginSession(db, { personId }, browser, now))
  return '/today'
}

async function passwordPage(c: Context<Env>, form: FormState) {
  const { db, clock } = c.get('services')
  const person = await readPasswordLink(db, c.req.param('token') ?? '', clock.now())
  const lead = `${person.name}, you sign in as ${person.signInName}. This link works once.`
  return (
    <Page c={c} title="Set your password" lead={lead}>
      <form method="post">
        <FormProblems form={form} />
        <input type="hidden" name="username" autocomplete="username" value={person.signInName} />
        <NewPasswordFields form={form} />
        <p class="actions">
          <button class="main">Set the password</button>
        </p>
      </form>
    </Page>
  )
}
