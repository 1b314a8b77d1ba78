// Reads a block's rows from a CSV file in two steps: look at what it says, then confirm.
import type { Context } from 'hono'
import { recordAtDesk } from '../../journal/desk.ts'
import type { Draft } from '../../journal/desk.ts'
import { CSV_BYTES_LIMIT } from '../../nursery/block-csv-types.ts'
import type { KnownVariety } from '../../nursery/block-csv-types.ts'
import { blockToCsv } from '../../nursery/block-csv-write.ts'
import { listRows } from '../../nursery/read-blocks.ts'
import { asParsedRow } from '../../nursery/row-import.ts'
import { newId } from '../../platform/clock.ts'
import type { Env } from '../../platform/services.ts'
import { deskOf } from '../desk.ts'
import { freshForm, readForm } from '../form.ts'
import type { FormReader, FormState } from '../form.ts'
import { show, submit } from '../form-page.tsx'
import { afterSaving } from '../saved.tsx'
import { fromCarried, readImport } from './import-reading.ts'
import type { UploadedFile } from './import-reading.ts'
import { PreviewPage } from './import-preview.tsx'
import { UploadPage } from './import-upload.tsx'
import { requiredBlock } from './list.tsx'

const orders = ['first', 'last'] as const
const uses = ['rootstock', 'scion', 'both'] as const

/** Shows the form that takes the file. */
export async function showUpload(c: Context<Env>) {
  const block = await requiredBlock(c)
  const form = freshForm({ rowsNumberedFrom: 'first' })
  return show(c, <UploadPage c={c} block={block} form={form} />)
}

/** Takes the file and shows what it says; nothing is written. */
export async function previewUpload(c: Context<Env>): Promise<Response> {
  const block = await requiredBlock(c)
  const form = await readForm(c)
  const upload = form.files.file
  if (upload === undefined || upload.size === 0) {
    return refuseUpload(c, form, 'choose a CSV file that is not empty')
  }
  if (upload.size > CSV_BYTES_LIMIT) {
    const most = CSV_BYTES_LIMIT / 1024 / 1024
    return refuseUpload(c, form, `the file is larger than ${most} MB: save only this block’s rows`)
  }
  const bytes = new Uint8Array(await upload.arrayBuffer())
  const reading = await readImport(c, block.block_id, { bytes, rowsNumberedFrom: orderOf(form) })
  const page = <PreviewPage c={c} block={block} reading={reading} form={freshForm()} />
  return show(c, page, reading.plan === null || reading.rowProblems.length > 0 ? 422 : 200)
}

async function refuseUpload(c: Context<Env>, form: FormReader, message: string) {
  const block = await requiredBlock(c)
  const state: FormState = {
    values: form.values,
    errors: { file: message },
    general: `${message}; nothing was saved`,
  }
  return show(c, <UploadPage c={c} block={block} form={state} />, 422)
}

/** Reads the carried file anew and writes its rows, with the varieties chosen to be registered. */
export async function confirmImport(c: Context<Env>) {
  const block = await requiredBlock(c)
  return submit(c, {
    save: (form) => save(c, block.block_id, form),
    page: async (form) => {
      const reading = await readImport(c, block.block_id, uploadedIn(form.values))
      return <PreviewPage c={c} block={block} reading={reading} form={form} />
    },
  })
}

async function save(c: Context<Env>, blockId: string, form: FormReader): Promise<string> {
  const { db } = c.get('services')
  const file = uploadedIn(form.values)
  const before = await readImport(c, blockId, file)
  const registering = chosenVarieties(form, before.unknown)
  const reading = await readImport(c, blockId, file, registering)
  const [problem] = reading.result.problems
  if (problem !== undefined) {
    const [name] = reading.unknown
    const message =
      name === undefined
        ? `${problem.message} ${problem.remedy}`
        : `choose what “${name}” is grown for, so that it is registered, or correct the file`
    form.problem('csv', message)
  }
  for (const { label, message } of reading.rowProblems)
    form.problem('csv', `row ${label}: ${message}`)
  form.check()
  if (reading.plan === null) throw new Error('a file without a problem has a plan')
  const drafts: Draft[] = [
    ...registering.map(({ id, name, use }): Draft => {
      return {
        kind: 'variety.registered',
        body: { varietyId: id, name, synonyms: [], use },
      }
    }),
    ...reading.plan.rows.map(({ layout }): Draft => ({ kind: 'row.laid_out', body: layout })),
  ]
  const ids = await recordAtDesk(db, deskOf(c), drafts)
  return afterSaving(`/blocks/${blockId}`, ids.length)
}

type Registering = KnownVariety & { use: (typeof uses)[number] }

/** Only names that the file itself has can be registered here. */
function chosenVarieties(form: FormReader, unknown: readonly string[]): Registering[] {
  const names = form.all('newName')
  const chosen = form.all('newUse')
  return unknown.flatMap((name): Registering[] => {
    const use = uses.find((one) => one === chosen[names.indexOf(name)])
    return use === undefined ? [] : [{ id: newId(), name, synonyms: [], use }]
  })
}

function uploadedIn(values: Record<string, string[]>): UploadedFile {
  const last = values.rowsNumberedFrom?.[0] === 'last'
  return {
    bytes: fromCarried(values.csv?.[0] ?? ''),
    rowsNumberedFrom: last ? 'last' : 'first',
  }
}

function orderOf(form: FormReader): (typeof orders)[number] {
  return orders.find((order) => order === form.raw('rowsNumberedFrom')) ?? 'first'
}

/** The block's rows in the columns that the reader knows. */
export async function downloadRows(c: Context<Env>) {
  const block = await requiredBlock(c)
  const rows = await listRows(c.get('services').db, block.block_id)
  const separator = c.req.query('separator') === 'semicolon' ? ';' : ','
  const text = blockToCsv(rows.map(asParsedRow), separator)
  return c.body(text, 200, {
    'content-type': 'text/csv; charset=utf-8',
    'content-disposition': 'attachment; filename="rows.csv"',
  })
}
