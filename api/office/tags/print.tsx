// One print: its codes, what the labels will show or miss, and the PDF.
import type { Context, Hono } from 'hono'
import { formatTagCode } from '#trade/tag-code.ts'
import { BUILT_IN_FORMS } from '../../labels/built-in-forms.ts'
import { labelsPerPage } from '../../labels/forms.ts'
import type { LabelForm } from '../../labels/forms.ts'
import type { LabelLayout } from '../../labels/layout-types.ts'
import { readForms } from '../../labels/own-forms.ts'
import { printRequest } from '../../labels/print-request.ts'
import type { PrintSettings } from '../../labels/print-request.ts'
import { readPrint } from '../../labels/read-tags.ts'
import type { PrintedTag } from '../../labels/read-tags.ts'
import { previewLabels, renderLabels } from '../../labels/render.ts'
import { PRINTER_DPI } from '../../labels/symbol.ts'
import { readNursery } from '../../nursery/read.ts'
import { refuse } from '../../platform/errors.ts'
import type { Env } from '../../platform/services.ts'
import { show } from '../form-page.tsx'
import { Page, Table } from '../layout.tsx'
import { pathId } from '../path-id.ts'
import { Saved } from '../saved.tsx'

const shownLimit = 20

/** Adds the page of a print and its PDF. */
export function addPrintPages(pages: Hono<Env>): void {
  pages.get('/prints/:printId', async (c) => {
    const { tags, settings, forms } = await readAsked(c)
    const request = printRequest(tags, await readNursery(c.get('services').db), settings)
    const layout = await previewLabels(request)
    return show(
      c,
      <PrintPage c={c} tags={tags} settings={settings} forms={forms} layout={layout} />,
    )
  })
  pages.get('/prints/:printId/labels.pdf', async (c) => {
    const { tags, settings } = await readAsked(c)
    const request = printRequest(tags, await readNursery(c.get('services').db), settings)
    const pdf = await renderLabels(request)
    return c.body(Buffer.from(pdf), 200, {
      'content-type': 'application/pdf',
      'content-disposition': 'inline; filename="labels.pdf"',
    })
  })
}

async function readAsked(c: Context<Env>) {
  const { db } = c.get('services')
  const [tags, forms] = await Promise.all([
    readPrint(db, pathId(c, 'printId', 'print')),
    readForms(db),
  ])
  const first = tags[0]
  if (first === undefined) {
    refuse('not_found', 'there is no such print: choose one under Tags', { status: 404 })
  }
  const wanted = c.req.query('form') ?? first.form
  const form = forms.find(({ name }) => name === wanted) ?? Object.values(BUILT_IN_FORMS)[0]
  if (form === undefined) throw new Error('there is no label form at all')
  const dpi = Number(c.req.query('dpi'))
  const used = Number(c.req.query('used') ?? 0)
  const settings: PrintSettings = {
    form,
    printerDpi: PRINTER_DPI.find((known) => known === dpi) ?? 300,
    firstSlot: Number.isInteger(used) && used > 0 && used < labelsPerPage(form) ? used : 0,
  }
  return { tags, settings, forms }
}

function PrintPage(props: {
  c: Context<Env>
  tags: PrintedTag[]
  settings: PrintSettings
  forms: LabelForm[]
  layout: LabelLayout
}) {
  const { c, tags, settings, forms, layout } = props
  const query = new URLSearchParams({
    form: settings.form.name,
    dpi: String(settings.printerDpi),
    used: String(settings.firstSlot),
  })
  const pdf = `${c.req.path}/labels.pdf?${query.toString()}`
  return (
    <Page
      c={c}
      title={`Print of ${tags.length} ${tags[0]?.payload ?? 'tag'}s`}
      lead="Print at full size: choose 100 % and no fitting to the page in the print dialogue."
      actions={
        <a class="button main" href={pdf}>
          Open the PDF
        </a>
      }
    >
      <Saved c={c} />
      <Settings settings={settings} forms={forms} path={c.req.path} />
      <Notes layout={layout} />
      <Table caption="Codes" head={['Code', 'On', 'Print']}>
        {tags.slice(0, shownLimit).map((tag) => (
          <tr>
            <td class="code">
              <a href={`/tags/codes/${tag.code}`}>{formatTagCode(tag.code)}</a>
            </td>
            <td>
              {tag.lot_reference ?? tag.thing_name ?? 'nothing yet'}
              {tag.bundle_number === null ? '' : `, bundle ${tag.bundle_number}`}
            </td>
            <td class="number">{tag.printing}</td>
          </tr>
        ))}
      </Table>
      {tags.length > shownLimit ? <p>… and {tags.length - shownLimit} more</p> : null}
    </Page>
  )
}

function Settings(props: { settings: PrintSettings; forms: LabelForm[]; path: string }) {
  const { settings, forms } = props
  return (
    <form class="actions" action={props.path}>
      <label for="print-form">Label form</label>
      <select id="print-form" name="form">
        {forms.map(({ name }) => (
          <option value={name} selected={name === settings.form.name}>
            {name}
          </option>
        ))}
      </select>
      <label for="print-dpi">Printer, dots per inch</label>
      <select id="print-dpi" name="dpi">
        {PRINTER_DPI.map((dpi) => (
          <option value={String(dpi)} selected={dpi === settings.printerDpi}>
            {dpi}
          </option>
        ))}
      </select>
      <label for="print-used">Labels used on the first sheet</label>
      <input id="print-used" name="used" size={4} value={String(settings.firstSlot)} />
      <button>Lay out again</button>
    </form>
  )
}

/** What the labels will not show, lack, or print small; the same sentence only once. */
function Notes({ layout }: { layout: LabelLayout }) {
  const notes = new Set([
    ...layout.overflow.map(({ text }) => `No room for “${text}”: it is cut with …`),
    ...layout.unprintable.map(({ text }) => `The fonts cannot print all of “${text}”.`),
    ...layout.missing.map(({ number, name }) => `Not filled in: ${number}, ${name}.`),
    ...layout.warnings.map(({ message }) => message),
  ])
  if (notes.size === 0) return null
  return (
    <div class="care">
      <p>Before you print:</p>
      <ul>
        {[...notes].slice(0, shownLimit).map((note) => (
          <li>{note}</li>
        ))}
      </ul>
    </div>
  )
}
