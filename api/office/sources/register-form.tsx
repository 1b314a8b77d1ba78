// The form that puts a source on the register, or corrects it.
import type { Context } from 'hono'
import { Id, POSITION_LIMIT } from '#wire/basics.ts'
import { localDay } from '#trade/zone-time.ts'
import type { Database } from '../../../db/connect.ts'
import { lotsByReference, recentReferences } from '../../grafting/lot-choice.ts'
import { readVine } from '../../grafting/read.ts'
import { recordAtDesk } from '../../journal/desk.ts'
import { rowName, rowNames, rowsByName } from '../../nursery/find-row.ts'
import { listVarieties, nurseryTimeZone } from '../../nursery/read.ts'
import { newId } from '../../platform/clock.ts'
import type { Env } from '../../platform/services.ts'
import { sourceProblems } from '../../sources/checks.ts'
import type { SourceWish } from '../../sources/checks.ts'
import { listSources, readSource, readSourceLine } from '../../sources/read.ts'
import type { SourceReading } from '../../sources/read.ts'
import { deskOf } from '../desk.ts'
import { freshForm } from '../form.ts'
import type { FormReader, FormState } from '../form.ts'
import { show, submit } from '../form-page.tsx'
import { readClassNames } from '../lots/new-lot-fields.tsx'
import { found, pathId } from '../path-id.ts'
import { afterSaving } from '../saved.tsx'
import { typedName, typedNameOrNull, typedNote } from '../typed-text.ts'
import { RegisterPage } from './register-page.tsx'
import type { RegisterChoices } from './register-page.tsx'

/** Shows the form: empty, begun from a block (`parent`) or field vine (`row`), or filled. */
export async function showSourceForm(c: Context<Env>) {
  const source = await sourceInPath(c)
  const start = source === null ? await freshStart(c) : startOf(source)
  return show(c, await page(c, source, freshForm(start)))
}

/** Registers or corrects a source. */
export async function saveSource(c: Context<Env>) {
  const source = await sourceInPath(c)
  return submit(c, {
    save: (form) => save(c, source, form),
    page: (form) => page(c, source, form),
  })
}

async function sourceInPath(c: Context<Env>): Promise<SourceReading | null> {
  if (c.req.param('sourceId') === undefined) return null
  const { db, clock } = c.get('services')
  return found(await readSource(db, pathId(c, 'sourceId', 'source'), clock.now()), 'source')
}

async function freshStart(c: Context<Env>): Promise<Record<string, string>> {
  const { db, clock } = c.get('services')
  const { parent, row, position } = c.req.query()
  const start: Record<string, string> = { level: 'block' }
  const block = isId(parent) ? await readSourceLine(db, parent ?? '', clock.now()) : null
  if (block !== null) {
    const { variety_id: varietyId, clone, scheme, class: className, source_id } = block
    const same = { varietyId, clone: clone ?? '', scheme: scheme ?? '', class: className ?? '' }
    Object.assign(start, { ...same, level: 'vine', parentSourceId: source_id })
  }
  if (isId(row)) {
    start.level = 'vine'
    start.vineRow = (await rowName(db, row ?? '')) ?? ''
    start.vinePosition = (position ?? '').slice(0, 5)
  }
  return start
}

function startOf({ line, parent, origin_lot, vine, note }: SourceReading) {
  return {
    level: line.level,
    parentSourceId: parent?.source_id ?? '',
    name: line.name,
    registryNumber: line.registry_number ?? '',
    varietyId: line.variety_id,
    clone: line.clone ?? '',
    scheme: line.scheme ?? '',
    class: line.class ?? '',
    plantedYear: line.planted_year === null ? '' : String(line.planted_year),
    originLot: origin_lot?.reference ?? '',
    vineRow: vine === null ? '' : [vine.block, `row ${vine.row}`].filter(Boolean).join(', '),
    vinePosition: vine === null ? '' : String(vine.position),
    note,
  }
}

async function page(c: Context<Env>, source: SourceReading | null, form: FormState) {
  const choices = await readRegisterChoices(c)
  const title = source === null ? 'Register a source' : `Correct ${source.line.name}`
  const back = source === null ? '/sources' : `/sources/${source.line.source_id}`
  return <RegisterPage c={c} title={title} back={back} form={form} choices={choices} />
}

async function readRegisterChoices(c: Context<Env>): Promise<RegisterChoices> {
  const { db, clock } = c.get('services')
  const now = clock.now()
  const [varieties, sources, names, rows, lots] = await Promise.all([
    listVarieties(db),
    listSources(db, { now }),
    readClassNames(db, now),
    rowNames(db),
    recentReferences(db),
  ])
  return { varieties, blocks: sources.filter((one) => one.level === 'block'), ...names, rows, lots }
}

async function save(
  c: Context<Env>,
  source: SourceReading | null,
  form: FormReader,
): Promise<string> {
  const { db, clock } = c.get('services')
  const thisYear = Number(localDay(clock.now().getTime(), await nurseryTimeZone(db)).slice(0, 4))
  const sourceId = source?.line.source_id ?? null
  const body = {
    level: form.choice('level', 'whether it is a block or a vine', ['block', 'vine']),
    parentSourceId: form.optionalId('parentSourceId', 'the block it stands in'),
    name: typedName(form, 'name', 'the name'),
    registryNumber: typedNameOrNull(form, 'registryNumber', 'the registry number'),
    varietyId: form.id('varietyId', 'the variety'),
    clone: typedNameOrNull(form, 'clone', 'the clone'),
    scheme: typedNameOrNull(form, 'scheme', 'the scheme'),
    class: typedNameOrNull(form, 'class', 'the class'),
    plantedYear: form.optionalWhole('plantedYear', 'the year of planting', 1800, thisYear),
    note: typedNote(form, 'note', 'the note'),
  }
  if (body.class !== null && body.scheme === null && form.raw('scheme') === '') {
    form.problem('scheme', `the class ${body.class} belongs to a scheme: name it`)
  }
  const originLot = await originLotTyped(db, form)
  const vine = await vineTyped(db, form)
  const parent = await parentChosen(c, form, body.parentSourceId)
  form.addProblems(await sourceProblems(db, { ...body, sourceId, parent, originLot, vine }))
  form.check()
  const id = sourceId ?? newId()
  const address = vine === null ? null : { rowId: vine.rowId, position: vine.position }
  const originLotId = originLot?.lotId ?? null
  await recordAtDesk(db, deskOf(c), [
    { kind: 'source.registered', body: { ...body, sourceId: id, originLotId, vine: address } },
  ])
  return afterSaving(`/sources/${id}`, 1)
}

async function parentChosen(
  c: Context<Env>,
  form: FormReader,
  parentId: string | null,
): Promise<SourceWish['parent']> {
  if (parentId === null || form.raw('parentSourceId') === '') return null
  const { db, clock } = c.get('services')
  const line = isId(parentId) ? await readSourceLine(db, parentId, clock.now()) : null
  if (line === null) return null
  const { source_id, level, name, variety_id } = line
  return { sourceId: source_id, level, name, varietyId: variety_id }
}

async function originLotTyped(db: Database, form: FormReader): Promise<SourceWish['originLot']> {
  const reference = form.raw('originLot')
  if (reference === '') return null
  const lots = await lotsByReference(db, reference)
  const [lot] = lots
  if (lot === undefined) {
    const message = `there is no lot ${reference}: check the reference, or leave this empty`
    return form.problem('originLot', message, null)
  }
  if (lots.length > 1) {
    const message = `${lots.length} lots have the reference ${reference}: answer that finding first`
    return form.problem('originLot', message, null)
  }
  return { lotId: lot.lot_id, reference: lot.reference, varietyId: lot.variety_id }
}

async function vineTyped(db: Database, form: FormReader): Promise<SourceWish['vine']> {
  const text = form.raw('vineRow')
  if (text === '') {
    const position = form.raw('vinePosition')
    if (position === '') return null
    return form.problem('vineRow', 'name the row as well, or empty the position', null)
  }
  const position = form.whole('vinePosition', 'the position', 1, POSITION_LIMIT)
  const rows = await rowsByName(db, text)
  const [row] = rows
  if (row === undefined) {
    return form.problem('vineRow', `there is no row “${text}”: choose one from the list`, null)
  }
  if (rows.length > 1) {
    const names = rows.map((one) => `“${one.name}”`).join(', ')
    return form.problem('vineRow', `several rows are called so: write one of ${names}`, null)
  }
  const vine = await readVine(db, row.row_id, position)
  const stands = vine !== null && vine.record.absent === null
  return { rowId: row.row_id, position, stands, rowName: row.name }
}

const isId = (text: string | undefined) => Id.safeParse(text).success
