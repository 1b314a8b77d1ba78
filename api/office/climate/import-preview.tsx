// Shows how a logger's file was read: the layout to correct, its readings, problems and doubts.
import type { Context } from 'hono'
import { flagsOf } from '#trade/reading-flags.ts'
import type { LoggerLayoutShape } from '#wire/kinds/climate.ts'
import type { Env } from '../../platform/services.ts'
import { LOGGER_PROBLEMS_LIMIT } from '../../store/logger-csv-types.ts'
import type { CsvReading } from '../../store/logger-csv-types.ts'
import type { Logger } from '../../store/loggers.ts'
import { placeWords } from '../blocks/import-reading.ts'
import { freshForm } from '../form.ts'
import type { FormState } from '../form.ts'
import type { Option } from '../form-page.tsx'
import { FormProblems, NumberField, SelectField, TextField, TickField } from '../form-page.tsx'
import { Page, Table } from '../layout.tsx'
import { shownTime } from '../times.ts'
import { carried } from './import.tsx'
import type { LoggerReading } from './import.tsx'
import { FlagTable } from './loggers.tsx'
import { degrees, percent } from './words.ts'

type Props = {
  c: Context<Env>
  logger: Logger
  reading: LoggerReading
  zone: string
  form: FormState
}

/** A gap longer than this is shown as a doubt in the preview, in minutes. */
const PREVIEW_GAP_MINUTES = 60

/** The page. */
export function ImportPreview({ c, logger, reading, zone, form }: Props) {
  const { result, compared } = reading
  const { fresh, known, differing } = compared
  const count = result.readings.length
  const bad = result.problemCount > 0
  const lead = bad
    ? 'Nothing is saved. Correct how the file is read, or the file itself.'
    : 'Nothing is saved yet. Look it through, then confirm.'
  return (
    <Page c={c} title={`What the file of ${logger.name} says`} lead={lead}>
      <div class="note">
        <p>
          {count} readings; {fresh.length} of them are new, {known} are recorded already
          {differing.length === 0
            ? '.'
            : `, and ${differing.length} differ from what is recorded: both are kept, and the ` +
              'warmer counts.'}
        </p>
        {result.notes.map((note) => (
          <p>{note}</p>
        ))}
        {result.leftOut === 0 ? null : <p>{result.leftOut} lines are left out, as you chose.</p>}
      </div>
      <Problems reading={reading} />
      <LayoutForm {...{ logger, reading, form }} canSave={!bad && fresh.length > 0} />
      <Readings readings={result.readings} zone={zone} />
      {count === 0 ? null : <FlagTable flags={flagsIn(result.readings)} zone={zone} />}
    </Page>
  )
}

function flagsIn(readings: readonly CsvReading[]) {
  const plain = readings.map(({ at, centiC, humidityTenths }) => ({
    at,
    tempC: centiC / 100,
    humidityPercent: humidityTenths === null ? null : humidityTenths / 10,
  }))
  return flagsOf(plain, PREVIEW_GAP_MINUTES)
}

function Problems({ reading: { result } }: { reading: LoggerReading }) {
  if (result.problemCount === 0) return null
  const { problems, problemCount } = result
  return (
    <>
      <Table
        caption={`${problemCount} ${problemCount === 1 ? 'problem' : 'problems'}`}
        head={['Where', 'The file says', 'What is wrong', 'What to do']}
      >
        {problems.map((problem) => (
          <tr>
            <th scope="row">{placeWords(problem)}</th>
            <td>{problem.value}</td>
            <td>{problem.message}</td>
            <td>{problem.remedy}</td>
          </tr>
        ))}
      </Table>
      {problemCount > LOGGER_PROBLEMS_LIMIT ? (
        <p class="note">{problemCount - problems.length} further problems are not listed.</p>
      ) : null}
    </>
  )
}

const separatorNames = { ',': 'comma', ';': 'semicolon', '\t': 'tab' } as const

/** The layout as the fields of the form hold it. */
function fieldsOf(layout: LoggerLayoutShape | null, reading: LoggerReading) {
  const ticks = {
    warmIsRight: reading.warmIsRight ? ['yes'] : [],
    leaveOut: reading.leaveOut ? ['yes'] : [],
  }
  if (layout === null) return ticks
  return {
    ...ticks,
    separator: separatorNames[layout.separator],
    decimal: layout.decimal === '.' ? 'point' : 'comma',
    dateOrder: layout.dateOrder,
    unit: layout.unit,
    zone: layout.zone,
    headerLines: String(layout.headerLines),
    timeColumn: String(layout.timeColumn),
    clockColumn: layout.clockColumn === null ? '' : String(layout.clockColumn),
    tempColumn: String(layout.tempColumn),
    humidityColumn: layout.humidityColumn === null ? '' : String(layout.humidityColumn),
  }
}

const words = (...values: string[]) => values.map((value) => ({ value, label: value }))

function LayoutForm(props: {
  logger: Logger
  reading: LoggerReading
  form: FormState
  canSave: boolean
}) {
  const { logger, reading, canSave } = props
  const { result } = reading
  const start = freshForm(fieldsOf(result.layout, reading))
  const form = { ...start, errors: props.form.errors, general: props.form.general }
  const columns = result.columns.map(({ number, name }) => ({
    value: String(number),
    label: name === '' ? `column ${number}` : `${number}: ${name}`,
  }))
  const base = `/store/loggers/${logger.loggerId}/import`
  return (
    <form method="post" action={`${base}/confirm`} id="field-csv">
      <FormProblems form={form} />
      <input type="hidden" name="csv" value={carried(reading.bytes)} />
      <h2>How it is read</h2>
      <LayoutFields form={form} columns={columns} />
      <NumberField form={form} name="headerLines" label="Lines above the readings" required />
      <TickField
        form={form}
        name="warmIsRight"
        label="Warm readings"
        options={[{ value: 'yes', label: 'it really was so warm' }]}
      />
      <p class="actions">
        {canSave ? <button class="main">Save the readings</button> : null}
        <button formaction={`${base}/preview`}>Read it again like this</button>
        <a class="button" href={base}>
          Another file
        </a>
      </p>
    </form>
  )
}

function LayoutFields({ form, columns }: { form: FormState; columns: Option[] }) {
  return (
    <div class="columns">
      <SelectField
        form={form}
        name="separator"
        label="Cells are parted by"
        required
        options={words('comma', 'semicolon', 'tab')}
      />
      <SelectField
        form={form}
        name="decimal"
        label="Decimals after a"
        required
        options={words('point', 'comma')}
      />
      <SelectField
        form={form}
        name="dateOrder"
        label="Order of the date"
        required
        options={words('year month day', 'day month year', 'month day year')}
      />
      <SelectField
        form={form}
        name="unit"
        label="Temperature in"
        required
        options={[
          { value: 'C', label: '°C' },
          { value: 'F', label: '°F' },
        ]}
      />
      <TextField
        form={form}
        name="zone"
        label="Time zone"
        required
        hint="like Europe/Zurich; +01:00 for a logger that never changes to summer time"
      />
      <SelectField
        form={form}
        name="timeColumn"
        label="Date, or date and time"
        required
        options={columns}
      />
      <SelectField
        form={form}
        name="clockColumn"
        label="Time of day, where it stands apart"
        options={columns}
      />
      <SelectField form={form} name="tempColumn" label="Temperature" required options={columns} />
      <SelectField form={form} name="humidityColumn" label="Humidity" options={columns} />
      <TickField
        form={form}
        name="leaveOut"
        label="Lines that cannot be used"
        options={[{ value: 'yes', label: 'leave them out; their number is recorded' }]}
      />
    </div>
  )
}

function Readings({ readings, zone }: { readings: readonly CsvReading[]; zone: string }) {
  if (readings.length === 0) return null
  const few = readings.length <= 12
  const shown = few ? readings : [...readings.slice(0, 6), ...readings.slice(-6)]
  return (
    <Table
      caption={few ? 'The readings' : 'The first and the last six readings'}
      head={['Line', 'Time here', 'Time in UTC', 'Temperature', 'Humidity']}
      numbers={[0, 3, 4]}
    >
      {shown.map(({ line, at, centiC, humidityTenths }) => (
        <tr>
          <td class="number">{line}</td>
          <td>{shownTime(new Date(at), zone)}</td>
          <td>{new Date(at).toISOString().slice(0, 19).replace('T', ' ')}</td>
          <td class="number">{degrees(centiC / 100)}</td>
          <td class="number">{percent(humidityTenths === null ? null : humidityTenths / 10)}</td>
        </tr>
      ))}
    </Table>
  )
}
