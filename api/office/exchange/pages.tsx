// Exchange with other programs: documents to take away, and the form that takes one in.
import { Hono } from 'hono'
import type { Context } from 'hono'
import type { EpcisTakenShape } from '#wire/api-epcis.ts'
import { EPCIS_BYTE_LIMIT } from '#wire/api-epcis.ts'
import { captureDelivery } from '../../exchange/capture.ts'
import { SPAN_LIMIT, exportSpan, exportThing } from '../../exchange/export.ts'
import type { EpcisDocument } from '../../exchange/epcis-shape.ts'
import { journalSize } from '../../journal/read-journal.ts'
import { listParties } from '../../nursery/read.ts'
import type { Env } from '../../platform/services.ts'
import { chosenId } from '../chosen-id.ts'
import { deskOf } from '../desk.ts'
import { freshForm } from '../form.ts'
import type { FormReader, FormState } from '../form.ts'
import { FileField, FormProblems, NoteField, SelectField, show } from '../form-page.tsx'
import { Page, Table } from '../layout.tsx'
import { pathId } from '../path-id.ts'
import { showOnce } from '../people/show-once.ts'
import { placeOptions, readChoices } from '../store/choices.ts'
import { takenPage } from './taken.tsx'

export const exchangePages = new Hono<Env>()

exchangePages.get('/', async (c) => show(c, await exchangePage(c, freshForm({}))))
exchangePages.post('/', (c) =>
  showOnce(c, {
    make: async (form) => takenPage(c, await takeIn(c, form)),
    page: (form) => exchangePage(c, form),
  }),
)
exchangePages.get('/lot/:lotId', async (c) => {
  const { db, clock } = c.get('services')
  const id = pathId(c, 'lotId', 'lot')
  return file(c, await exportThing(db, { kind: 'lot', id }, clock.now()), `lot-${id}`)
})
exchangePages.get('/block/:blockId', async (c) => {
  const { db, clock } = c.get('services')
  const id = pathId(c, 'blockId', 'block')
  return file(c, await exportThing(db, { kind: 'block', id }, clock.now()), `block-${id}`)
})
exchangePages.get('/span/:from{[0-9]{1,10}}', async (c) => {
  const { db, clock } = c.get('services')
  const from = Number(c.req.param('from'))
  const document = await exportSpan(db, { from, limit: SPAN_LIMIT }, clock.now())
  return file(c, document, `entries-${from}`)
})

function file(c: Context<Env>, document: EpcisDocument, name: string): Response {
  return c.body(JSON.stringify(document, null, 2), 200, {
    'content-type': 'application/ld+json',
    'content-disposition': `attachment; filename="${name}.jsonld"`,
  })
}

async function takeIn(c: Context<Env>, form: FormReader): Promise<EpcisTakenShape> {
  const supplierId = chosenId(form, 'supplierId', 'the firm it came from')
  const placeId = chosenId(form, 'placeId', 'where the wood lies now')
  const { file } = form.files
  const text = file === undefined || file.size === 0 ? form.raw('document') : await file.text()
  const { value, problem } = readDocument(text)
  if (problem !== null) form.addProblems([{ field: 'document', message: problem }])
  form.check()
  return captureDelivery(c.get('services').db, deskOf(c), value, { supplierId, placeId })
}

function readDocument(text: string): { value: unknown; problem: string | null } {
  const size = Buffer.byteLength(text)
  if (size > EPCIS_BYTE_LIMIT) {
    const problem = `at most ${EPCIS_BYTE_LIMIT} bytes are taken in, not ${size}: tell it in parts`
    return { value: null, problem }
  }
  try {
    return { value: JSON.parse(text), problem: null }
  } catch {
    return { value: null, problem: 'this is not JSON: choose the file, or paste all of it' }
  }
}

async function exchangePage(c: Context<Env>, form: FormState) {
  const { db } = c.get('services')
  const [choices, suppliers, size] = await Promise.all([
    readChoices(db),
    listParties(db, 'supplier'),
    journalSize(db),
  ])
  const spans = Array.from({ length: Math.ceil(size / SPAN_LIMIT) }, (_, nr) => nr * SPAN_LIMIT)
  return (
    <Page
      c={c}
      title="Exchange"
      lead={
        'What happened to wood, as EPCIS 2.0 events that other programs read, and lots that come ' +
        'in with such a document. It shows what was recorded; it certifies nothing.'
      }
    >
      <h2>Take a document in</h2>
      <form method="post" enctype="multipart/form-data">
        <FormProblems form={form} />
        <SelectField
          form={form}
          name="supplierId"
          label="Supplier"
          required
          options={suppliers.map(({ party_id, name }) => ({ value: party_id, label: name }))}
        />
        <SelectField
          form={form}
          name="placeId"
          label="Where it lies now"
          required
          options={placeOptions(choices)}
        />
        <FileField
          form={form}
          name="file"
          label="Document as a file"
          accept=".jsonld,.json,application/ld+json,application/json"
          hint={`at most ${EPCIS_BYTE_LIMIT / 1024 / 1024} MB`}
        />
        <NoteField form={form} name="document" label="Or its whole text" />
        <p class="actions">
          <button class="main">Take its lots in</button>
        </p>
      </form>
      <h2>Take documents away</h2>
      <p>
        A lot or a block has its own document, at “For other programs” on its page. Below is the
        whole journal.
      </p>
      <Table caption={`${size} entries`} head={['Entries', 'Document']}>
        {spans.map((from) => (
          <tr>
            <td>
              {from} to {Math.min(from + SPAN_LIMIT, size) - 1}
            </td>
            <td>
              <a href={`/exchange/span/${from}`}>Take away</a>
            </td>
          </tr>
        ))}
      </Table>
    </Page>
  )
}
