// Printing a roll of tags ahead: codes that are on nothing yet.
import { randomBytes } from 'node:crypto'
import type { Context, Hono } from 'hono'
import { PRINT_LIMIT } from '#wire/kinds/tags.ts'
import { makeTagCode } from '#trade/tag-code.ts'
import { readForm, readForms } from '../../labels/own-forms.ts'
import { recordAtDesk } from '../../journal/desk.ts'
import { newId } from '../../platform/clock.ts'
import type { Env } from '../../platform/services.ts'
import { deskOf } from '../desk.ts'
import { FormProblems, NumberField, SelectField, show, submit } from '../form-page.tsx'
import { freshForm } from '../form.ts'
import type { FormState } from '../form.ts'
import { Page } from '../layout.tsx'
import { afterSaving } from '../saved.tsx'

/** Adds the form that prints unbound tags. */
export function addRollPages(pages: Hono<Env>): void {
  pages.get('/roll', async (c) => show(c, await rollPage(c, freshForm({ count: '100' }))))
  pages.post('/roll', (c) =>
    submit(c, {
      page: (form) => rollPage(c, form),
      save: async (form) => {
        const { db } = c.get('services')
        const count = form.whole('count', 'How many', 1, PRINT_LIMIT)
        const formName = form.text('form', 'The label form')
        form.check()
        await readForm(db, formName)
        const printId = newId()
        const body = {
          printId,
          payload: 'field tag' as const,
          form: formName,
          codes: newCodes(count),
          reprintReason: null,
        }
        await recordAtDesk(db, deskOf(c), [{ kind: 'tag.printed', body }])
        return afterSaving(`/tags/prints/${printId}`, 1)
      },
    }),
  )
}

/** Codes drawn at random; two of them are never the same. */
export function newCodes(count: number): string[] {
  const codes = new Set<string>()
  while (codes.size < count) codes.add(makeTagCode((size) => randomBytes(size)))
  return [...codes]
}

async function rollPage(c: Context<Env>, form: FormState) {
  const forms = await readForms(c.get('services').db)
  return (
    <Page
      c={c}
      title="Print a roll of unbound tags"
      lead="For tying on in the field: each tag is bound later, by scanning it or typing its code."
    >
      <FormProblems form={form} />
      <form method="post" action="/tags/roll">
        <NumberField form={form} name="count" label="How many" required />
        <SelectField
          form={form}
          name="form"
          label="Label form"
          required
          options={forms.map(({ name }) => ({ value: name, label: name }))}
        />
        <button class="main">Make the codes</button>
      </form>
    </Page>
  )
}
