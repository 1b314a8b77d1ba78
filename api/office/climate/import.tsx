// Reads a logger's file in two steps: look at what it says and correct the guess, then confirm.
import { gunzipSync, gzipSync } from 'node:zlib'
import type { Context } from 'hono'
import type { LoggerLayoutShape } from '#wire/kinds/climate.ts'
import { LoggerLayout } from '#wire/kinds/climate.ts'
import { isTimeZone } from '#trade/zone-time.ts'
import { recordMade } from '../../journal/desk.ts'
import type { Draft } from '../../journal/desk.ts'
import { nurseryTimeZone } from '../../nursery/read.ts'
import { refuse } from '../../platform/errors.ts'
import type { Env } from '../../platform/services.ts'
import { compareReadings, readingBodies } from '../../store/log-readings.ts'
import type { Compared } from '../../store/log-readings.ts'
import { readLayout } from '../../store/loggers.ts'
import type { Logger } from '../../store/loggers.ts'
import { parseLoggerCsv } from '../../store/logger-csv.ts'
import { LOGGER_BYTES_LIMIT } from '../../store/logger-csv-types.ts'
import type { LoggerCsvResult } from '../../store/logger-csv-types.ts'
import { deskOf } from '../desk.ts'
import { freshForm, FormReader, readForm } from '../form.ts'
import type { FormState } from '../form.ts'
import { FileField, FormProblems, show, submit } from '../form-page.tsx'
import { Page } from '../layout.tsx'
import { afterSaving } from '../saved.tsx'
import { ImportPreview } from './import-preview.tsx'
import { requiredLogger } from './loggers.tsx'

/** A file as it is read: its bytes, what was chosen, what it says, what of it is new. */
export type LoggerReading = {
  bytes: Uint8Array
  result: LoggerCsvResult
  compared: Compared
  warmIsRight: boolean
  leaveOut: boolean
}

/** Shows the form that takes the file. */
export async function showImport(c: Context<Env>) {
  return show(c, <UploadPage c={c} logger={await requiredLogger(c)} form={freshForm()} />)
}

/** Takes the file and shows what it says; nothing is written. */
export async function previewImport(c: Context<Env>): Promise<Response> {
  const logger = await requiredLogger(c)
  const form = await readForm(c)
  const upload = form.files.file
  if (upload === undefined || upload.size === 0) {
    const message = 'choose a CSV file that is not empty'
    const errors = { file: message }
    const state = { values: form.values, errors, general: `${message}; nothing was saved` }
    return show(c, <UploadPage c={c} logger={logger} form={state} />, 422)
  }
  const bytes = new Uint8Array(await upload.arrayBuffer())
  const { db } = c.get('services')
  const layout = await readLayout(db, logger.loggerId)
  const remembered = layout === null ? null : await readBytes(c, logger, bytes, { layout })
  const fits = remembered !== null && remembered.result.readings.length > 0
  const reading = fits ? remembered : await readBytes(c, logger, bytes, { layout: null })
  return previewPage(c, logger, reading)
}

/** Shows the same file again, read as the person chose. */
export async function previewAgain(c: Context<Env>): Promise<Response> {
  const logger = await requiredLogger(c)
  const form = await readForm(c)
  return previewPage(c, logger, await readCarried(c, logger, form))
}

async function previewPage(c: Context<Env>, logger: Logger, reading: LoggerReading) {
  const zone = await nurseryTimeZone(c.get('services').db)
  const page = <ImportPreview {...{ c, logger, reading, zone }} form={freshForm()} />
  return show(c, page, reading.result.problemCount > 0 ? 422 : 200)
}

/** Reads the carried file anew and writes its new readings, all or none. */
export async function confirmImport(c: Context<Env>) {
  const logger = await requiredLogger(c)
  const { db } = c.get('services')
  const zone = await nurseryTimeZone(db)
  return submit(c, {
    save: (form) => save(c, logger, form),
    page: async (state) => {
      const reading = await readCarried(c, logger, new FormReader(state.values))
      return <ImportPreview {...{ c, logger, reading, zone }} form={state} />
    },
  })
}

async function save(c: Context<Env>, logger: Logger, form: FormReader): Promise<string> {
  const { db } = c.get('services')
  const { loggerId } = logger
  const { result } = await readCarried(c, logger, form)
  const [problem] = result.problems
  if (problem !== undefined) {
    form.problem('csv', `${problem.message} ${problem.remedy}`)
  } else if (result.fileProblem) form.problem('csv', 'no line of the file can be used')
  form.check()
  const before = await readLayout(db, loggerId)
  const ids = await recordMade(db, deskOf(c), async (trx) => {
    const { fresh } = await compareReadings(trx, loggerId, result.readings)
    const drafts = readingBodies(loggerId, fresh, result.leftOut).map((body): Draft => {
      return { kind: 'temperature.logged', body }
    })
    const { layout } = result
    const isNew = layout !== null && JSON.stringify(before) !== JSON.stringify(layout)
    if (!isNew || drafts.length === 0) return drafts
    return [...drafts, { kind: 'logger.layout_chosen', body: { loggerId, layout } }]
  })
  return afterSaving(`/store/loggers/${loggerId}`, ids.length)
}

type Chosen = { layout: LoggerLayoutShape | null; warmIsRight?: boolean; leaveOut?: boolean }

async function readBytes(
  c: Context<Env>,
  logger: Logger,
  bytes: Uint8Array,
  { layout, warmIsRight = false, leaveOut = false }: Chosen,
): Promise<LoggerReading> {
  const { db, clock } = c.get('services')
  const zone = await nurseryTimeZone(db)
  const now = clock.now().getTime()
  const known = isTimeZone(zone) ? zone : 'UTC'
  const result = parseLoggerCsv(bytes, { layout, zone: known, now, warmIsRight, leaveOut })
  const compared = await compareReadings(db, logger.loggerId, result.readings)
  return { bytes, result, compared, warmIsRight, leaveOut }
}

async function readCarried(
  c: Context<Env>,
  logger: Logger,
  form: FormReader,
): Promise<LoggerReading> {
  return readBytes(c, logger, fromCarried(form.raw('csv')), {
    layout: layoutIn(form),
    warmIsRight: form.all('warmIsRight').includes('yes'),
    leaveOut: form.all('leaveOut').includes('yes'),
  })
}

/** The layout that the form chose; null, to guess anew, when it is none. */
function layoutIn(form: FormReader): LoggerLayoutShape | null {
  const number = (name: string) => (form.raw(name) === '' ? null : Number(form.raw(name)))
  const separator = { comma: ',', semicolon: ';', tab: '\t' }[form.raw('separator')]
  const read = LoggerLayout.safeParse({
    separator,
    decimal: { point: '.', comma: ',' }[form.raw('decimal')],
    dateOrder: form.raw('dateOrder'),
    unit: form.raw('unit'),
    zone: form.raw('zone'),
    headerLines: number('headerLines'),
    timeColumn: number('timeColumn'),
    clockColumn: number('clockColumn'),
    tempColumn: number('tempColumn'),
    humidityColumn: number('humidityColumn'),
  })
  return read.success && isTimeZone(read.data.zone) ? read.data : null
}

/** The bytes as a form can carry them from one page to the next, pressed together. */
export function carried(bytes: Uint8Array): string {
  return gzipSync(bytes).toString('base64')
}

/** The bytes back; they are read anew, so whatever came back can do no harm. */
function fromCarried(text: string): Uint8Array {
  try {
    const most = LOGGER_BYTES_LIMIT + 1
    return gunzipSync(Buffer.from(text, 'base64'), { maxOutputLength: most })
  } catch {
    return refuse('lost_file', 'the file was lost on the way: choose it again')
  }
}

function UploadPage(props: { c: Context<Env>; logger: Logger; form: FormState }) {
  const { c, logger, form } = props
  return (
    <Page
      c={c}
      title={`Read in a file of ${logger.name}`}
      lead="Its layout is guessed and shown. Nothing is saved before you confirm."
    >
      <form method="post" enctype="multipart/form-data">
        <FormProblems form={form} />
        <FileField form={form} name="file" label="CSV file" accept=".csv,.txt,text/csv" required />
        <p class="hint">At most {LOGGER_BYTES_LIMIT / 1024 / 1024} MB: a year at five minutes.</p>
        <p class="actions">
          <button class="main">Show what it says</button>
          <a class="button" href={`/store/loggers/${logger.loggerId}`}>
            Cancel
          </a>
        </p>
      </form>
    </Page>
  )
}
