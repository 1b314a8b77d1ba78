// The field in which a policy's value is typed: a number, yes or no, or an order of classes.
import type { Policy } from '#trade/policies.ts'
import type { FormState } from '../form.ts'
import { NoteField, NumberField, SelectField } from '../form-page.tsx'

/** The field, with the unit and the range in its hint. */
export function PolicyValueField({ form, policy }: { form: FormState; policy: Policy }) {
  const field = { form, name: 'value', label: 'Value', required: true }
  if (typeof policy.value === 'boolean') {
    return <SelectField {...field} options={yesOrNo} />
  }
  if (typeof policy.value !== 'number') {
    const hint = 'one scheme on each line, like EU: initial > base > certified > standard'
    return <NoteField {...field} hint={hint} />
  }
  const { unit, range } = policy
  const what = unit === 'share' ? 'as a share: 0.5 is 50 %' : `in ${unit}`
  const between = range === undefined ? '' : `; from ${range.min} to ${range.max}`
  return <NumberField {...field} hint={`${what}${between}`} />
}

const yesOrNo = [
  { value: 'yes', label: 'yes' },
  { value: 'no', label: 'no' },
]
