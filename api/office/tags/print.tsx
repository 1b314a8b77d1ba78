// One print: its codes, what the labels will show or miss, and the PDF.
import type { Context, Hono } from 'hono'
import { formatTagCode } from '#trade/tag-code.ts'
import { BUILT_IN_FORMS } from '../../labels/built-in-forms.ts'
import { lastCheckpoint } from '../../journal/checkpoints.ts'
import { labelsPerPage } from '../../labels/forms.ts'
import type { LabelForm } from '../../labels/forms.ts'
import type { LabelLayout } from '../../labels/layout-types.ts'
import { readForms } from '../../labels/own-forms.ts'
import { printRequest } from '../../labels/print-request.ts'
import type { PrintSettings } from '../../labels/print-request.ts'
import { readPrint } from '../../labels/read-tags.ts'
import type { PrintedTag } from '../../labels/read-tags.ts'
import { previewLabels, renderLabels } from '../../labels/render.ts'
import type { JournalProof } from '../../labels/request.ts'
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
    const asked = await readAsked(c)
    const nursery = await readNursery(c.get('services').db)
    const layout = await previewLabels(printRequest(asked.tags, nursery, asked.settings))
    return show(c, <PrintPage c={c} asked={asked} layout={layout} />)
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

async function readAsked(c: Context<Env>): Promise<Asked> {
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
  const proof = await proofToPrint(c)
  // On a roll it costs one label; the free labels of a sheet are there for the next print.
  const isProofWanted = (c.req.query('proof') ?? (form.shape === 'roll' ? 'yes' : 'no')) === 'yes'
  const settings: PrintSettings = {
    form,
    printerDpi: PRINTER_DPI.find((known) => known === dpi) ?? 300,
    firstSlot: Number.isInteger(used) && used > 0 && used < labelsPerPage(form) ? used : 0,
    journalProof: isProofWanted ? proof : null,
  }
  return { tags, settings, forms, isProofWanted, isSigned: proof !== null }
}

/** The newest checkpoint as a label shows it; null while nothing is signed. */
async function proofToPrint(c: Context<Env>): Promise<JournalProof | null> {
  const last = await lastCheckpoint(c.get('services').db)
  return last === null ? null : { note: last.note, signedAt: last.madeAt }
}

type Asked = {
  tags: PrintedTag[]
  settings: PrintSettings
  forms: LabelForm[]
  isProofWanted: boolean
  isSigned: boolean
}

function PrintPage(props: { c: Context<Env>; asked: Asked; layout: LabelLayout }) {
  const { c, asked, layout } = props
  const { tags, settings, isProofWanted } = asked
  const query = new URLSearchParams({
    form: settings.form.name,
    dpi: String(settings.printerDpi),
    used: String(settings.firstSlot),
    proof: isProofWanted ? 'yes' : 'no',
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
      <Settings asked={asked} path={c.req.path} />
      <ProofNote asked={asked} layout={layout} />
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

/** What becomes of the journal proof, and that it counts as no tag. */
function ProofNote({ asked, layout }: { asked: Asked; layout: LabelLayout }) {
  const { settings, isProofWanted, isSigned } = asked
  if (!isProofWanted) return null
  if (!isSigned) {
    return <p class="note">Nothing is signed yet, so no journal proof is printed.</p>
  }
  const { journalProof: placed, journalProofProblem } = layout
  if (placed === null) return <p class="care">{journalProofProblem}</p>
  const where =
    settings.form.shape === 'roll'
      ? 'One more label comes after the last tag: the journal proof, to tear off and keep'
      : 'The journal proof takes the next free label of the last sheet: count it as used. Keep it'
  const how = placed.symbols.length > 0 ? '' : ' It is printed in words alone, for want of room.'
  return <p class="note">{`${where} with the delivery. It is no tag and counts as none.${how}`}</p>
}

function Settings(props: { asked: Asked; path: string }) {
  const { settings, forms, isProofWanted, isSigned } = props.asked
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
      {isSigned ? (
        <>
          <label for="print-proof">Journal proof</label>
          <select id="print-proof" name="proof">
            <option value="yes" selected={isProofWanted}>
              print one behind the last label
            </option>
            <option value="no" selected={!isProofWanted}>
              leave it out
            </option>
          </select>
        </>
      ) : null}
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
