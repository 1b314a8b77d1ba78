// A form that was sent while a password was missing: asked for, with all that was typed kept.
import type { Context } from 'hono'
import type { Child } from 'hono/jsx'
import { PROOF_FIELD } from '../../people/sign-in.ts'
import type { Env } from '../../platform/services.ts'
import { FormProblems, PasswordField, TextField } from '../form-page.tsx'
import type { FormReader, FormState } from '../form.ts'
import { Page } from '../layout.tsx'

/** The field of a carried form in which somebody signs in. */
export const CARRIED_NAME_FIELD = 'ownSignInName'

/** Never carried: these are asked for anew. */
const asked: ReadonlySet<string> = new Set([PROOF_FIELD, CARRIED_NAME_FIELD])

/** Asks for the password once more, and sends the form on. */
export function ProofPage(props: { c: Context<Env>; sent: FormReader; form: FormState }) {
  const lead = 'Devices, releases of holds and people are changed only by whoever knows it.'
  return (
    <Page c={props.c} title="Your password once more" lead={lead}>
      <Carried c={props.c} sent={props.sent} form={props.form} button="Go on">
        {null}
      </Carried>
    </Page>
  )
}

/** Asks to sign in, and sends the form on. */
export function SignedOutPage(props: { c: Context<Env>; sent: FormReader; form: FormState }) {
  const lead = 'You were signed out meanwhile. What you typed is kept: sign in to save it.'
  return (
    <Page c={props.c} title="Sign in to save" lead={lead}>
      <Carried c={props.c} sent={props.sent} form={props.form} button="Sign in and save">
        <TextField
          form={props.form}
          name={CARRIED_NAME_FIELD}
          label="Sign-in name"
          autocomplete="username"
          required
        />
      </Carried>
    </Page>
  )
}

function Carried(props: {
  c: Context<Env>
  sent: FormReader
  form: FormState
  button: string
  children: Child
}) {
  const { c, sent, form } = props
  const fields = Object.entries(sent.values).filter(([name]) => !asked.has(name))
  return (
    <form method="post" action={c.req.url.replace(/^[a-z]+:\/\/[^/]*/i, '')}>
      <FormProblems form={form} />
      {fields.flatMap(([name, values]) =>
        values.map((value) => <input type="hidden" name={name} value={value} />),
      )}
      {props.children}
      <PasswordField
        form={form}
        name={PROOF_FIELD}
        label="Password"
        autocomplete="current-password"
        required
      />
      <p class="actions">
        <button class="main">{props.button}</button>
      </p>
    </form>
  )
}
