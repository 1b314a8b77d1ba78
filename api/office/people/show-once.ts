// A form whose answer is shown once, by no address: a secret, or what became of a document.
import type { Context } from 'hono'
import type { Child } from 'hono/jsx'
import { Refusal } from '../../platform/errors.ts'
import type { Env } from '../../platform/services.ts'
import { readForm } from '../form.ts'
import type { FormReader, FormState } from '../form.ts'
import { show } from '../form-page.tsx'

/**
 * Reads the form and answers with the page that `make` gives. When it refuses, the form is shown
 * again with everything that was typed, its status, and each problem at its field.
 */
export async function showOnce(
  c: Context<Env>,
  steps: {
    make: (form: FormReader) => Promise<Child>
    page: (form: FormState) => Promise<Child> | Child
  },
): Promise<Response> {
  const form = await readForm(c)
  try {
    return await show(c, await steps.make(form))
  } catch (error) {
    if (!(error instanceof Refusal)) throw error
    const errors: Record<string, string> = {}
    for (const { field, message } of error.fields) errors[field] ??= message
    const state = { values: form.values, errors, general: error.message }
    return show(c, await steps.page(state), error.status)
  }
}
