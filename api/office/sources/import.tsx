// Reads sources or their tests from a CSV file in two steps: look at what it says, then confirm.
import type { Context } from 'hono'
import { sql } from 'kysely'
import { localDay } from '#trade/zone-time.ts'
import { recordAtDesk } from '../../journal/desk.ts'
import type { Draft } from '../../journal/desk.ts'
import { CSV_BYTES_LIMIT } from '../../nursery/block-csv-types.ts'
import type { CsvProblem } from '../../nursery/block-csv-types.ts'
import { listVarieties, nurseryTimeZone } from '../../nursery/read.ts'
import { newId } from '../../platform/clock.ts'
import type { Env } from '../../platform/services.ts'
import type { RegisterFile } from '../../sources/register-csv-columns.ts'
import { readRegisterCsv } from '../../sources/register-csv.ts'
import { planSources, planTests, testKey } from '../../sources/register-import.ts'
import type { KnownSource, RegisterSetting } from '../../sources/register-import.ts'
import { carried, fromCarried } from '../blocks/import-reading.ts'
import { deskOf } from '../desk.ts'
import { freshForm, readForm } from '../form.ts'
import type { FormReader } from '../form.ts'
import { show, submit } from '../form-page.tsx'
import { afterSaving } from '../saved.tsx'
import { ImportPreview, ImportUpload } from './import-pages.tsx'
import type { ImportLine } from './import-pages.tsx'

/** What a file says and what reading it in would write; nothing while there are problems. */
export type RegisterReading = {
  file: RegisterFile
  bytes: string
  lines: ImportLine[]
  drafts: Draft[]
  problems: CsvProblem[]
  notes: string[]
}

/** Shows the form that takes the file. */
export async function showRegisterUpload(c: Context<Env>) {
  return show(c, <ImportUpload c={c} form={freshForm({ file: 'sources' })} />)
}

/** Takes the file and shows what it says; nothing is written. */
export async function previewRegister(c: Context<Env>): Promise<Response> {
  const form = await readForm(c)
  const upload = form.files.csv
  if (upload === undefined || upload.size === 0 || upload.size > CSV_BYTES_LIMIT) {
    const most = CSV_BYTES_LIMIT / 1024 / 1024
    const message = `choose a CSV file that is not empty and not larger than ${most} MB`
    const general = `${message}; nothing was saved`
    const state = { values: form.values, errors: { csv: message }, general }
    return show(c, <ImportUpload c={c} form={state} />, 422)
  }
  const bytes = new Uint8Array(await upload.arrayBuffer())
  const reading = await read(c, fileOf(form.raw('file')), bytes)
  const page = <ImportPreview c={c} reading={reading} form={freshForm()} />
  return show(c, page, reading.problems.length > 0 ? 422 : 200)
}

/** Reads the carried file anew, and writes all of it or nothing. */
export function confirmRegister(c: Context<Env>) {
  return submit(c, {
    save: (form) => save(c, form),
    page: async (form) => {
      const [file = '', bytes = ''] = [form.values.file?.[0], form.values.bytes?.[0]]
      const reading = await read(c, fileOf(file), fromCarried(bytes))
      return <ImportPreview c={c} reading={reading} form={form} />
    },
  })
}

async function save(c: Context<Env>, form: FormReader): Promise<string> {
  const { db } = c.get('services')
  const reading = await read(c, fileOf(form.raw('file')), fromCarried(form.raw('bytes')))
  const [problem] = reading.problems
  if (problem !== undefined) form.problem('bytes', `${problem.message} ${problem.remedy}`)
  form.check()
  const ids = await recordAtDesk(db, deskOf(c), reading.drafts)
  return afterSaving('/sources', ids.length)
}

const fileOf = (text: string): RegisterFile => (text === 'tests' ? 'tests' : 'sources')

async function read(
  c: Context<Env>,
  file: RegisterFile,
  bytes: Uint8Array,
): Promise<RegisterReading> {
  const setting = await readSetting(c)
  const sheet = readRegisterCsv(bytes, file)
  const base = { file, bytes: carried(bytes), notes: sheet.notes }
  if (sheet.problems.length > 0) {
    return { ...base, lines: [], drafts: [], problems: sheet.problems }
  }
  const names = new Map(setting.sources.map((source) => [source.sourceId, source.name]))
  const varieties = new Map(setting.varieties.map(({ id, name }) => [id, name]))
  if (file === 'sources') {
    const { planned, problems } = planSources(sheet.lines, setting)
    for (const { body } of planned) names.set(body.sourceId, body.name)
    const lines = planned.map(({ line, body }): ImportLine => {
      const inside = body.parentSourceId === null ? '' : (names.get(body.parentSourceId) ?? '')
      const year = body.plantedYear === null ? '' : String(body.plantedYear)
      const scheme = [body.scheme, body.class].filter((part) => part !== null).join(', ')
      const variety = varieties.get(body.varietyId) ?? ''
      const registry = body.registryNumber ?? ''
      const cells = [body.name, body.level, inside, registry, variety, body.clone ?? '']
      return { line, cells: [...cells, scheme, year, body.note] }
    })
    const drafts = planned.map(({ body }): Draft => ({ kind: 'source.registered', body }))
    return { ...base, lines, drafts, problems }
  }
  const { planned, problems } = planTests(sheet.lines, setting)
  const lines = planned.map(({ line, body }): ImportLine => {
    const { agent, method, laboratory, sampledOn, pooledVines, result, note } = body
    const source = names.get(body.sourceId) ?? ''
    const cells = [source, agent, method, laboratory, sampledOn, String(pooledVines), result]
    return { line, cells: [...cells, body.sampleReference ?? '', note] }
  })
  const drafts = planned.map(({ body }): Draft => ({ kind: 'source.tested', body }))
  return { ...base, lines, drafts, problems }
}

type TestLine = {
  sourceId: string
  agent: string
  method: string
  sampledOn: string
  sampleReference: string | null
}

async function readSetting(c: Context<Env>): Promise<RegisterSetting> {
  const { db, clock } = c.get('services')
  const varieties = await listVarieties(db)
  const sources = await sql<KnownSource>`
    select source_id as "sourceId", parent_source_id as "parentSourceId", level, name,
      registry_number as "registryNumber", variety_id as "varietyId"
    from source_standing_row`.execute(db)
  const tests = await sql<TestLine>`
    select source_id as "sourceId", agent, method, sampled_on as "sampledOn",
      sample_reference as "sampleReference" from source_test`.execute(db)
  return {
    varieties: varieties.map(({ variety_id: id, name, synonyms }) => ({ id, name, synonyms })),
    sources: sources.rows,
    tests: new Set(tests.rows.map(testKey)),
    today: localDay(clock.now().getTime(), await nurseryTimeZone(db)),
    newId,
  }
}
