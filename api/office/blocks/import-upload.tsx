// The page that takes a block's CSV file and says what it should hold.
import type { Context } from 'hono'
import type { Env } from '../../platform/services.ts'
import type { FormState } from '../form.ts'
import { FileField, FormProblems, SelectField } from '../form-page.tsx'
import { Page, Table } from '../layout.tsx'

const columns: [string, string][] = [
  ['row', 'the row’s label; several lines with one label are stretches with different trunks'],
  ['from, to', 'first and last position of the stretch; or vines, how many places it has'],
  ['missing', 'positions without a vine, like 3, 17 to 19'],
  ['rootstock, rootstock_clone', 'the registered variety, and its clone'],
  ['interstock, interstock_clone', 'what is grafted on the rootstock already, if anything'],
  ['planted', 'the year, four digits'],
  ['counted_from', 'head or far: the end from which this line counts; empty is the head'],
  ['row_positions', 'how many positions the whole row has, where the lines do not show it'],
]

/** The page. */
export function UploadPage(props: {
  c: Context<Env>
  block: { block_id: string; name: string }
  form: FormState
}) {
  const { c, block, form } = props
  return (
    <Page
      c={c}
      title={`Read rows of ${block.name} from a file`}
      lead="A CSV file, as any spreadsheet saves it. First you see what it says; nothing is saved."
    >
      <UploadForm block={block} form={form} />
      <Table caption="Columns; other columns are left out" head={['Heading', 'What it holds']}>
        {columns.map(([heading, words]) => (
          <tr>
            <th scope="row" class="code">
              {heading}
            </th>
            <td>{words}</td>
          </tr>
        ))}
      </Table>
      <p>
        The block’s <a href={`/blocks/${block.block_id}/rows.csv`}>present rows as a file</a> are a
        good start (
        <a href={`/blocks/${block.block_id}/rows.csv?separator=semicolon`}>with semicolons</a>, for
        spreadsheets that use a decimal comma).
      </p>
    </Page>
  )
}

/** The form alone; it stands under a preview with problems as well. */
export function UploadForm(props: { block: { block_id: string }; form: FormState }) {
  const { block, form } = props
  return (
    <form method="post" action={`/blocks/${block.block_id}/import`} enctype="multipart/form-data">
      <FormProblems form={form} />
      <FileField form={form} name="file" label="CSV file" accept=".csv,text/csv" required />
      <SelectField
        form={form}
        name="rowsNumberedFrom"
        label="The first row in the file is"
        options={[
          { value: 'first', label: 'the first row of the block' },
          { value: 'last', label: 'the last row of the block' },
        ]}
        required
      />
      <p class="actions">
        <button class="main">Show what it says</button>
        <a class="button" href={`/blocks/${block.block_id}`}>
          Cancel
        </a>
      </p>
    </form>
  )
}
