// The two fields in which a new password is chosen, and how they are read.
import { PASSWORD_LEAST } from '../../people/passwords.ts'
import { PasswordField } from '../form-page.tsx'
import type { FormReader, FormState } from '../form.ts'

/** The password as typed, untrimmed; notes when it is missing or the two differ. */
export function newPassword(form: FormReader): string {
  const [password = '', again = ''] = ['password', 'again'].map((name) => form.values[name]?.[0])
  if (password === '') form.problem('password', 'a password is needed')
  else if (password !== again) form.problem('again', 'the two passwords differ: type it again')
  return password
}

/** Both fields. */
export function NewPasswordFields({ form }: { form: FormState }) {
  return (
    <>
      <PasswordField
        form={form}
        name="password"
        label="New password"
        hint={`at least ${PASSWORD_LEAST} characters; a sentence is easy to remember`}
        autocomplete="new-password"
        required
      />
      <PasswordField
        form={form}
        name="again"
        label="The same again"
        autocomplete="new-password"
        required
      />
    </>
  )
}
