// The label forms to choose from, and a form for the nursery's own, in millimetres.
import type { Context, Hono } from 'hono'
import { labelFormSchema } from '../../labels/forms.ts'
import { addOwnForm, readForms } from '../../labels/own-forms.ts'
import type { Env } from '../../platform/services.ts'
import { FormProblems, SelectField, TextField, show, submit } from '../form-page.tsx'
import { freshForm } from '../form.ts'
import type { FormReader, FormState } from '../form.ts'
import { Page, Table } from '../layout.tsx'
import { typedName } from '../typed-text.ts'

const shapes = ['roll', 'sheet'] as const

/** The measures of a sheet besides the label's own, in mm or as counts. */
const sheetFields = [
  ['pageWidthMm', 'Page width, mm'],
  ['pageHeightMm', 'Page height, mm'],
  ['marginLeftMm', 'From the left edge to the first label, mm'],
  ['marginTopMm', 'From the top edge to the first label, mm'],
  ['columns', 'Labels side by side'],
  ['rows', 'Labels one above the other'],
  ['gapXMm', 'Gap between columns, mm'],
  ['gapYMm', 'Gap between rows, mm'],
] as const

/** Adds the list of label forms and the form that makes one. */
export function addFormPages(pages: Hono<Env>): void {
  pages.get('/forms', async (c) => show(c, await formsPage(c, freshForm({ shape: 'roll' }))))
  pages.post('/forms', (c) =>
    submit(c, { page: (form) => formsPage(c, form), save: (form) => saveForm(c, form) }),
  )
}

async function saveForm(c: Context<Env>, form: FormReader): Promise<string> {
  const shape = form.choice('shape', 'roll or sheet', shapes)
  const measure = (name: string, label: string) => form.optionalNumber(name, label, 0, 2000)
  const given: Record<string, unknown> = {
    shape,
    name: typedName(form, 'name', 'The name', 80),
    labelWidthMm: measure('labelWidthMm', 'Label width'),
    labelHeightMm: measure('labelHeightMm', 'Label height'),
    insetMm: measure('insetMm', 'Blank strip') ?? 1,
  }
  if (shape === 'sheet') {
    for (const [name, label] of sheetFields) given[name] = measure(name, label) ?? undefined
  }
  form.check()
  const read = labelFormSchema.safeParse(given)
  if (!read.success) {
    for (const issue of read.error.issues) {
      form.problem(String(issue.path[0] ?? 'name'), issue.message)
    }
    form.check()
    throw new Error('an unchecked form got through')
  }
  await addOwnForm(c.get('services').db, read.data)
  return '/tags/forms'
}

async function formsPage(c: Context<Env>, form: FormState) {
  const forms = await readForms(c.get('services').db)
  return (
    <Page
      c={c}
      title="Label forms"
      lead="Measure your own stock with a ruler, to half a millimetre."
    >
      <Table caption="Forms to choose from" head={['Name', 'Shape', 'Label, mm', 'On a page']}>
        {forms.map((known) => (
          <tr>
            <td>{known.name}</td>
            <td>{known.shape}</td>
            <td>
              {known.labelWidthMm} × {known.labelHeightMm}
            </td>
            <td class="number">{known.shape === 'sheet' ? known.columns * known.rows : 1}</td>
          </tr>
        ))}
      </Table>
      <h2>A form of your own</h2>
      <FormProblems form={form} />
      <form method="post" action="/tags/forms">
        <TextField form={form} name="name" label="Name" required />
        <SelectField
          form={form}
          name="shape"
          label="Shape"
          required
          options={shapes.map((value) => ({ value, label: value }))}
        />
        <div class="columns">
          <TextField form={form} name="labelWidthMm" label="Label width, mm" required size={8} />
          <TextField form={form} name="labelHeightMm" label="Label height, mm" required size={8} />
          <TextField form={form} name="insetMm" label="Blank strip at every edge, mm" size={8} />
        </div>
        <fieldset>
          <legend>For a sheet only</legend>
          <div class="columns">
            {sheetFields.map(([name, label]) => (
              <TextField form={form} name={name} label={label} size={8} />
            ))}
          </div>
        </fieldset>
        <button class="main">Keep this form</button>
      </form>
    </Page>
  )
}
