// The field for a sign-in name, and how it is read.
import { signInNameProblem } from '../../people/people.ts'
import type { FormReader, FormState } from '../form.ts'
import { TextField } from '../form-page.tsx'

/** The sign-in name in lower case, or null when none was typed; notes what is wrong with it. */
export function typedSignInName(form: FormReader): string | null {
  const typed = form.raw('signInName').toLowerCase()
  if (typed === '') return null
  const problem = signInNameProblem(typed)
  if (problem !== null) form.problem('signInName', `the sign-in name: ${problem}`)
  return typed
}

/** The field. */
export function SignInNameField({ form, required }: { form: FormState; required?: boolean }) {
  return (
    <TextField
      form={form}
      name="signInName"
      label="Sign-in name"
      hint="small letters and digits, like tessa.a; capitals make no difference"
      autocomplete="username"
      required={required ?? false}
    />
  )
}
