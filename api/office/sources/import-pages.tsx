// The pages that take a file of sources or tests, and show what it says before it is read in.
import type { Context } from 'hono'
import type { Env } from '../../platform/services.ts'
import { registerColumns } from '../../sources/register-csv-columns.ts'
import type { RegisterFile } from '../../sources/register-csv-columns.ts'
import { placeWords } from '../blocks/import-reading.ts'
import { freshForm } from '../form.ts'
import type { FormState } from '../form.ts'
import { FileField, FormProblems, SelectField } from '../form-page.tsx'
import { Page, Table } from '../layout.tsx'
import type { RegisterReading } from './import.tsx'

/** One line of the file as it would be written. */
export type ImportLine = { line: number; cells: string[] }

/** Most problems that are listed. */
const SHOWN_PROBLEMS = 300

/** The page that takes the file, with the columns it may have. */
export function ImportUpload({ c, form }: { c: Context<Env>; form: FormState }) {
  return (
    <Page
      c={c}
      title="Read sources or tests from a file"
      lead="A CSV file, as any spreadsheet saves it. First you see what it says; nothing is saved."
    >
      <UploadForm form={form} />
      <ColumnTable file="sources" />
      <ColumnTable file="tests" />
    </Page>
  )
}

function ColumnTable({ file }: { file: RegisterFile }) {
  return (
    <Table
      caption={`Columns of a file of ${file}; other columns are left out`}
      head={['Heading', 'Needed', 'What it holds']}
    >
      {registerColumns[file].map(({ headings, needed, words }) => (
        <tr>
          <th scope="row" class="code">
            {headings[0]}
          </th>
          <td>{needed ? 'yes' : 'no'}</td>
          <td>{words}</td>
        </tr>
      ))}
    </Table>
  )
}

function UploadForm({ form }: { form: FormState }) {
  return (
    <form method="post" action="/sources/import" enctype="multipart/form-data">
      <FormProblems form={form} />
      <SelectField
        form={form}
        name="file"
        label="The file holds"
        options={[
          { value: 'sources', label: 'sources, one on each line' },
          { value: 'tests', label: 'health tests of sources, one on each line' },
        ]}
        required
      />
      <FileField form={form} name="csv" label="CSV file" accept=".csv,text/csv" required />
      <p class="actions">
        <button class="main">Show what it says</button>
        <a class="button" href="/sources">
          Cancel
        </a>
      </p>
    </form>
  )
}

/** The page that shows what the file says, with each bad line, or asks for confirmation. */
export function ImportPreview(props: {
  c: Context<Env>
  reading: RegisterReading
  form: FormState
}) {
  const { c, reading, form } = props
  const { file, problems, lines } = reading
  const bad = problems.length > 0
  const places = problems.length === 1 ? 'One place is' : `${problems.length} places are`
  const lead = bad
    ? `Nothing is saved. ${places} not right: correct the file and send it again.`
    : 'Nothing is saved yet. Look it through, then confirm below.'
  return (
    <Page
      c={c}
      title={file === 'sources' ? 'Sources in the file' : 'Tests in the file'}
      lead={lead}
    >
      {reading.notes.length === 0 ? null : (
        <div class="note">
          {reading.notes.map((note) => (
            <p>{note}</p>
          ))}
        </div>
      )}
      {bad ? <Problems reading={reading} /> : <ConfirmForm reading={reading} form={form} />}
      {bad ? (
        <>
          <h2>Send the corrected file</h2>
          <UploadForm form={freshForm({ file })} />
        </>
      ) : (
        <Table
          caption={lines.length === 1 ? 'One line' : `${lines.length} lines`}
          head={['Line', ...registerColumns[file].map(({ headings }) => headings[0])].filter(
            (heading) => heading !== 'class',
          )}
        >
          {lines.map(({ line, cells }) => (
            <tr>
              <th scope="row">{line}</th>
              {cells.map((cell) => (
                <td>{cell}</td>
              ))}
            </tr>
          ))}
        </Table>
      )}
    </Page>
  )
}

function Problems({ reading: { problems } }: { reading: RegisterReading }) {
  return (
    <>
      <Table
        caption={problems.length === 1 ? 'One problem' : `${problems.length} problems`}
        head={['Where', 'The file says', 'What is wrong', 'What to do']}
      >
        {problems.slice(0, SHOWN_PROBLEMS).map((problem) => (
          <tr>
            <th scope="row">{placeWords(problem)}</th>
            <td>{problem.value}</td>
            <td>{problem.message}</td>
            <td>{problem.remedy}</td>
          </tr>
        ))}
      </Table>
      {problems.length > SHOWN_PROBLEMS ? (
        <p class="note">{problems.length - SHOWN_PROBLEMS} further problems are not listed.</p>
      ) : null}
    </>
  )
}

function ConfirmForm({ reading, form }: { reading: RegisterReading; form: FormState }) {
  const { file, bytes, lines } = reading
  const what = file === 'sources' ? 'source' : 'test'
  return (
    <form method="post" action="/sources/import/confirm">
      <FormProblems form={form} />
      <input type="hidden" name="file" value={file} />
      <input type="hidden" name="bytes" value={bytes} />
      <p class="actions">
        <button class="main">
          Read in {lines.length} {lines.length === 1 ? what : `${what}s`}
        </button>
        <a class="button" href="/sources/import">
          Choose another file
        </a>
      </p>
    </form>
  )
}
