// The fields that say who a person is, and how they are read.
import type { PersonDetails } from '../../people/people.ts'
import { roleWords, workingRoles } from '../../people/rights.ts'
import type { FormReader, FormState } from '../form.ts'
import { SelectField, TextField } from '../form-page.tsx'
import { SignInNameField, typedSignInName } from '../sign-in/sign-in-name.tsx'
import { typedName } from '../typed-text.ts'

/** Reads name, role and sign-in name. */
export function typedPerson(form: FormReader): PersonDetails {
  const name = typedName(form, 'name', 'the name')
  const role = form.choice('role', 'a role', workingRoles)
  const signInName = typedSignInName(form)
  if (role === 'administrator' && signInName === null) {
    form.problem('signInName', 'an administrator needs a sign-in name')
  }
  return { name, role, signInName }
}

/** The fields. */
export function PersonFields({ form }: { form: FormState }) {
  const roles = workingRoles.map((role) => ({ value: role, label: `${role}: ${roleWords[role]}` }))
  return (
    <>
      <TextField form={form} name="name" label="Name" required />
      <SelectField form={form} name="role" label="Role" options={roles} required />
      <SignInNameField form={form} />
    </>
  )
}
