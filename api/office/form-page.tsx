// The one way in which a form page is shown, checked, saved or shown again with its problems.
import type { Context } from 'hono'
import { html } from 'hono/html'
import type { Child, JSX } from 'hono/jsx'
import type { ContentfulStatusCode } from 'hono/utils/http-status'
import { Refusal } from '../platform/errors.ts'
import type { Env } from '../platform/services.ts'
import type { FormReader, FormState } from './form.ts'
import { readForm } from './form.ts'

/** Answers with a whole page. */
export function show(c: Context<Env>, page: Child, status: ContentfulStatusCode = 200) {
  return c.html(html`<!doctype html>${page}`, status)
}

/**
 * Reads the form and saves it. `save` returns where to go next. When it refuses, the page is shown
 * again with everything that was typed, its status, and each problem at its field.
 */
export async function submit(
  c: Context<Env>,
  steps: {
    save: (form: FormReader) => Promise<string>
    page: (form: FormState) => Promise<Child> | Child
  },
): Promise<Response> {
  const form = await readForm(c)
  try {
    return c.redirect(await steps.save(form), 303)
  } catch (error) {
    if (!(error instanceof Refusal)) throw error
    c.set('refusal', error.code)
    const errors: Record<string, string> = {}
    for (const { field, message } of error.fields) errors[field] ??= message
    const page = await steps.page({ values: form.values, errors, general: error.message })
    if (error.retryAfterSeconds !== null) c.header('retry-after', String(error.retryAfterSeconds))
    return show(c, page, error.status)
  }
}

/** The heading of a form that came back with problems: read out first, and linked to each field. */
export function FormProblems({ form }: { form: FormState }) {
  if (form.general === null) return null
  const isListed = Object.keys(form.errors).length > 0
  return (
    <div class="problems" role="alert" tabindex={-1}>
      <p>
        <strong>Not saved.</strong> {isListed ? 'Nothing was changed; mend this:' : form.general}
      </p>
      {!isListed ? null : (
        <ul>
          {Object.entries(form.errors).map(([name, message]) => (
            <li>
              <a href={`#field-${name}`}>{message}</a>
            </li>
          ))}
        </ul>
      )}
    </div>
  )
}

type FieldProps = {
  form: FormState
  name: string
  label: string
  hint?: string
  required?: boolean
}

/** A label, its hint, its input and its problem, tied together for screen readers. */
function Field(props: FieldProps & { children: Child }) {
  const { form, name, label, hint } = props
  const error = form.errors[name]
  return (
    <div class={error === undefined ? 'field' : 'field wrong'}>
      <label for={`field-${name}`}>
        {label}
        {props.required === true ? '' : <span class="optional"> (if any)</span>}
      </label>
      {hint === undefined ? null : (
        <p class="hint" id={`hint-${name}`}>
          {hint}
        </p>
      )}
      {props.children}
      {error === undefined ? null : (
        <p class="error" id={`error-${name}`}>
          {error}
        </p>
      )}
    </div>
  )
}

function described({ form, name, hint }: FieldProps) {
  const ids = [hint === undefined ? '' : `hint-${name}`]
  if (form.errors[name] !== undefined) ids.push(`error-${name}`)
  const text = ids.filter((id) => id !== '').join(' ')
  return {
    id: `field-${name}`,
    name,
    ...(text === '' ? {} : { 'aria-describedby': text }),
    ...(form.errors[name] === undefined ? {} : { 'aria-invalid': 'true' as const }),
  }
}

/** A line of text. */
export function TextField(
  props: FieldProps & {
    list?: string
    inputmode?: JSX.IntrinsicElements['input']['inputmode']
    autocomplete?: string
    size?: number
  },
) {
  const value = props.form.values[props.name]?.[0] ?? ''
  const extra = {
    ...(props.list === undefined ? {} : { list: props.list }),
    ...(props.autocomplete === undefined ? {} : { autocomplete: props.autocomplete }),
    ...(props.inputmode === undefined ? {} : { inputmode: props.inputmode }),
  }
  return (
    <Field {...props}>
      <input
        type="text"
        value={value}
        size={props.size ?? 32}
        required={props.required}
        {...described(props)}
        {...extra}
      />
    </Field>
  )
}

/** A password: never shown back, whatever was typed. */
export function PasswordField(
  props: FieldProps & { autocomplete: 'current-password' | 'new-password' },
) {
  return (
    <Field {...props}>
      <input
        type="password"
        size={32}
        required={props.required}
        autocomplete={props.autocomplete}
        {...described(props)}
      />
    </Field>
  )
}

/** A whole number; typed as text so that what was typed can be shown back and named. */
export function NumberField(props: FieldProps) {
  return <TextField {...props} inputmode="decimal" size={10} />
}

/** A calendar date. */
export function DayField(props: FieldProps) {
  const value = props.form.values[props.name]?.[0] ?? ''
  return (
    <Field {...props}>
      <input type="date" value={value} required={props.required} {...described(props)} />
    </Field>
  )
}

/** A local date and time; left empty it means now. */
export function WhenField(props: FieldProps) {
  const value = props.form.values[props.name]?.[0] ?? ''
  return (
    <Field {...{ hint: 'leave empty for now', ...props, required: true }}>
      <input type="datetime-local" value={value} {...described({ hint: 'now', ...props })} />
    </Field>
  )
}

/** A longer text. */
export function NoteField(props: FieldProps) {
  return (
    <Field {...props}>
      <textarea rows={3} cols={48} required={props.required} {...described(props)}>
        {props.form.values[props.name]?.[0] ?? ''}
      </textarea>
    </Field>
  )
}

export type Option = { value: string; label: string }

/** One of a list, with an empty first line unless a value is set. */
export function SelectField(props: FieldProps & { options: readonly Option[] }) {
  const value = props.form.values[props.name]?.[0] ?? ''
  return (
    <Field {...props}>
      <select required={props.required} {...described(props)}>
        <option value="">{props.required === true ? '— choose —' : '— none —'}</option>
        {props.options.map((option) => (
          <option value={option.value} selected={option.value === value}>
            {option.label}
          </option>
        ))}
      </select>
    </Field>
  )
}

/** Tick boxes under one name. */
export function TickField(props: FieldProps & { options: readonly Option[] }) {
  const values = new Set(props.form.values[props.name] ?? [])
  const error = props.form.errors[props.name]
  return (
    <fieldset class={error === undefined ? 'field' : 'field wrong'} id={`field-${props.name}`}>
      <legend>{props.label}</legend>
      {props.hint === undefined ? null : <p class="hint">{props.hint}</p>}
      {props.options.map((option) => (
        <label class="tick">
          <input
            type="checkbox"
            name={props.name}
            value={option.value}
            checked={values.has(option.value)}
          />
          {option.label}
        </label>
      ))}
      {error === undefined ? null : <p class="error">{error}</p>}
    </fieldset>
  )
}

/** A file to be sent. */
export function FileField(props: FieldProps & { accept: string }) {
  return (
    <Field {...props}>
      <input type="file" accept={props.accept} required={props.required} {...described(props)} />
    </Field>
  )
}
