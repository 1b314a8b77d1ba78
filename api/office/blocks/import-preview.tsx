// Shows what a block's file says: bad lines with their remedy, or the rows it would lay out.
import type { Context } from 'hono'
import { writePositionList } from '../../nursery/position-list.ts'
import type { ParsedSection, TrunkPart } from '../../nursery/block-csv-types.ts'
import type { ImportedRow } from '../../nursery/row-import.ts'
import type { Env } from '../../platform/services.ts'
import { freshForm } from '../form.ts'
import type { FormState } from '../form.ts'
import { FormProblems } from '../form-page.tsx'
import { Page, Table } from '../layout.tsx'
import { carried, placeWords } from './import-reading.ts'
import type { ImportReading } from './import-reading.ts'
import { UploadForm } from './import-upload.tsx'

type Block = { block_id: string; name: string }
type Part = { reading: ImportReading }

/** Most lines of problems that are listed. */
const SHOWN_PROBLEMS = 300

/** The page. */
export function PreviewPage(props: {
  c: Context<Env>
  block: Block
  reading: ImportReading
  form: FormState
}) {
  const { c, block, reading, form } = props
  const bad = reading.result.problems.length + reading.rowProblems.length > 0
  const offered = !bad || (reading.onlyUnknown && reading.rowProblems.length === 0)
  return (
    <Page c={c} title={`Rows of ${block.name} in the file`} lead={leadWords(reading, bad)}>
      <Notes reading={reading} />
      <Problems reading={reading} />
      {offered ? <ConfirmForm block={block} reading={reading} form={form} /> : null}
      <Rows reading={reading} />
      {bad ? (
        <>
          <h2>Send the corrected file</h2>
          <UploadForm
            block={block}
            form={freshForm({ rowsNumberedFrom: reading.file.rowsNumberedFrom })}
          />
        </>
      ) : null}
    </Page>
  )
}

function leadWords({ result, onlyUnknown }: ImportReading, bad: boolean): string {
  if (!bad) return 'Nothing is saved yet. Look it through, then confirm below.'
  if (onlyUnknown) return 'Nothing is saved yet. Some varieties are not registered.'
  const count = result.problems.length
  const what = count === 1 ? 'One place is' : `${count} places are`
  return `Nothing is saved. ${what} not right: correct the file and send it again.`
}

function Notes({ reading: { result } }: Part) {
  const read =
    result.encoding === null
      ? []
      : [`Read as ${result.encoding}, separated by ${separatorWords[result.separator ?? ',']}.`]
  const notes = [...read, ...result.notes]
  if (notes.length === 0) return null
  return (
    <div class="note">
      {notes.map((note) => (
        <p>{note}</p>
      ))}
    </div>
  )
}

const separatorWords = { ',': 'commas', ';': 'semicolons', '\t': 'tabs' } as const

function Problems({ reading: { result, rowProblems } }: Part) {
  const { problems } = result
  if (problems.length + rowProblems.length === 0) return null
  return (
    <>
      {rowProblems.map(({ label, message }) => (
        <p class="care">
          Row {label}: {message}
        </p>
      ))}
      {problems.length === 0 ? null : (
        <Table
          caption={`${problems.length} ${problems.length === 1 ? 'problem' : 'problems'}`}
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
      )}
      {problems.length > SHOWN_PROBLEMS ? (
        <p class="note">{problems.length - SHOWN_PROBLEMS} further problems are not listed.</p>
      ) : null}
    </>
  )
}

function ConfirmForm(props: Part & { block: Block; form: FormState }) {
  const { reading, block, form } = props
  const rows = reading.plan?.rows ?? []
  const replaced = rows.filter((row) => row.replaces !== null).length
  return (
    <form method="post" action={`/blocks/${block.block_id}/import/confirm`} id="field-csv">
      <FormProblems form={form} />
      <input type="hidden" name="csv" value={carried(reading.file.bytes)} />
      <input type="hidden" name="rowsNumberedFrom" value={reading.file.rowsNumberedFrom} />
      {reading.unknown.length > 0 ? <NewVarieties names={reading.unknown} form={form} /> : null}
      {replaced > 0 ? (
        <p class="care">
          {replaced === 1 ? 'One row is' : `${replaced} rows are`} there already and will be
          replaced as laid out here; what was grafted there stays.
        </p>
      ) : null}
      {reading.plan === null || reading.plan.untouched.length === 0 ? null : (
        <p class="note">
          Not in the file, left as it is: row{reading.plan.untouched.length === 1 ? '' : 's'}{' '}
          {reading.plan.untouched.map((row) => row.label).join(', ')}.
        </p>
      )}
      <p class="actions">
        <button class="main">
          {reading.unknown.length > 0
            ? 'Register the varieties and save the rows'
            : `Save ${countWords(rows.length)}`}
        </button>
        <a class="button" href={`/blocks/${block.block_id}/import`}>
          Choose another file
        </a>
      </p>
    </form>
  )
}

function NewVarieties({ names, form }: { names: string[]; form: FormState }) {
  const given = form.values.newName ?? []
  return (
    <fieldset class="stretch">
      <legend>Not registered yet</legend>
      <p class="hint">
        Say what each is grown for and it is registered; or correct the file if it is a slip.
      </p>
      {names.map((name, nr) => {
        const chosen = form.values.newUse?.[given.indexOf(name)] ?? ''
        return (
          <div class="field">
            <label for={`new-use-${nr}`}>{name}</label>
            <input type="hidden" name="newName" value={name} />
            <select name="newUse" id={`new-use-${nr}`}>
              {useChoices.map(({ value, label }) => (
                <option value={value} selected={value === chosen}>
                  {label}
                </option>
              ))}
            </select>
          </div>
        )
      })}
    </fieldset>
  )
}

const useChoices = [
  { value: '', label: '— do not register —' },
  { value: 'rootstock', label: 'rootstock' },
  { value: 'scion', label: 'scion' },
  { value: 'both', label: 'scion and rootstock' },
]

function Rows({ reading: { plan, result } }: Part) {
  const head = ['Row', 'Place', 'Positions', 'Without a vine', 'Trunks', 'What happens']
  if (plan !== null) {
    const rows = [...plan.rows].sort((one, other) => one.layout.sequence - other.layout.sequence)
    return (
      <Table caption={countWords(rows.length)} head={head}>
        {rows.map((row) => (
          <RowLine row={row.parsed} sequence={row.layout.sequence} what={whatHappens(row)} />
        ))}
      </Table>
    )
  }
  if (result.rows.length === 0) return null
  return (
    <Table caption={`${countWords(result.rows.length)} without a problem`} head={head}>
      {result.rows.map((row) => (
        <RowLine row={row} sequence={row.sequence} what="" />
      ))}
    </Table>
  )
}

function countWords(rows: number): string {
  return rows === 1 ? 'one row' : `${rows} rows`
}

function RowLine(props: { row: ImportedRow['parsed']; sequence: number; what: string }) {
  const { row } = props
  return (
    <tr>
      <th scope="row">{row.label}</th>
      <td class="number">{props.sequence}</td>
      <td class="number">{row.positionCount}</td>
      <td>{writePositionList(row.missing)}</td>
      <td class="lines">{row.sections.map(sectionWords).join('\n')}</td>
      <td class="lines">{props.what}</td>
    </tr>
  )
}

function whatHappens({ replaces, notes }: ImportedRow): string {
  return [replaces === null ? 'new' : `replaces row ${replaces.label}`, ...notes].join('\n')
}

function sectionWords(section: ParsedSection): string {
  const { fromPosition, toPosition, plantedYear, rootstock, interstock } = section
  const parts = [rootstock, interstock].flatMap((part) => (part === null ? [] : partWords(part)))
  const trunk = parts.length === 0 ? 'trunk not recorded' : parts.join(' + ')
  return `${fromPosition}–${toPosition}: ${trunk}${plantedYear === null ? '' : `, ${plantedYear}`}`
}

function partWords({ name, clone }: TrunkPart): string {
  return clone === null ? name : `${name} clone ${clone}`
}
