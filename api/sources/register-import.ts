// Makes the entries that a file of sources or of tests stands for, or names each line that is bad.
import type { EntryBody } from '#wire/entry.ts'
import { NAME_LIMIT, NOTE_LIMIT } from '#wire/basics.ts'
import { readPlantedYear, shownValue } from '../nursery/block-csv-cells.ts'
import { acceptedCell, refusedCell } from '../nursery/block-csv-types.ts'
import type { CsvProblem, KnownVariety, Reading } from '../nursery/block-csv-types.ts'
import { cellText } from '../nursery/cell-text.ts'
import { foldName } from '../nursery/closest-name.ts'
import { varietyFinder } from '../nursery/variety-match.ts'
import type { RegisterColumn } from './register-csv-columns.ts'
import type { RegisterLine } from './register-csv.ts'

/** A source that is registered already, or that a line of the file registers. */
export type KnownSource = {
  sourceId: string
  parentSourceId: string | null
  level: string
  name: string
  registryNumber: string | null
  varietyId: string
}

/** What a file is read beside. `today` is the nursery's calendar day. */
export type RegisterSetting = {
  varieties: readonly KnownVariety[]
  sources: readonly KnownSource[]
  /** Keys of the tests on record, as `testKey` makes them. */
  tests: ReadonlySet<string>
  today: string
  newId: () => string
}

export type SourceBody = EntryBody<'source.registered'>
export type TestBody = EntryBody<'source.tested'>
export type Planned<Body> = { line: number; body: Body }
export type RegisterPlan<Body> = { planned: Planned<Body>[]; problems: CsvProblem[] }

/** Reads the cells of one line, and keeps what is wrong with them. */
class LineReader {
  readonly problems: CsvProblem[] = []
  private readonly line: RegisterLine

  constructor(line: RegisterLine) {
    this.line = line
  }

  raw(column: RegisterColumn): string {
    return this.line.cells[column] ?? ''
  }

  problem(column: RegisterColumn, message: string, remedy: string): null {
    const { line, heading } = this.line
    const value = shownValue(this.raw(column))
    this.problems.push({ line, column: heading(column), value, message, remedy })
    return null
  }

  cell<Value>(column: RegisterColumn, read: (text: string) => Reading<Value>): Value | null {
    const text = this.raw(column)
    if (text === '') return null
    const result = read(text)
    if (result.ok) return result.value
    return this.problem(column, result.message, result.remedy)
  }

  needed<Value>(column: RegisterColumn, read: (text: string) => Reading<Value>): Value | null {
    if (this.raw(column) !== '') return this.cell(column, read)
    return this.problem(column, 'The cell is empty.', 'Fill it in.')
  }
}

const name = (text: string) => cellText(text, NAME_LIMIT)
const note = (text: string) => cellText(text, NOTE_LIMIT)

function oneOf<Value extends string>(words: Readonly<Record<string, Value>>) {
  return (text: string): Reading<Value> => {
    const value = words[foldName(text)]
    if (value !== undefined) return acceptedCell(value)
    const choices = [...new Set(Object.values(words))].join(', ')
    return refusedCell('This is none of the words that are known.', `Write one of: ${choices}.`)
  }
}

const levels = oneOf({ block: 'block', bloque: 'block', vine: 'vine', cepa: 'vine' } as const)
const results = oneOf({
  'not detected': 'not detected',
  negative: 'not detected',
  negativo: 'not detected',
  'no detectado': 'not detected',
  detected: 'detected',
  positive: 'detected',
  positivo: 'detected',
  detectado: 'detected',
  inconclusive: 'inconclusive',
  'no concluyente': 'inconclusive',
} as const)

/** The sources that the lines register; blocks may stand below their vines in the file. */
export function planSources(
  lines: readonly RegisterLine[],
  setting: RegisterSetting,
): RegisterPlan<SourceBody> {
  const findVariety = varietyFinder(setting.varieties)
  const idOf = new Map(setting.varieties.map((variety) => [variety.name, variety.id]))
  const problems: CsvProblem[] = []
  const read = lines.map((line) => {
    const reader = new LineReader(line)
    const variety = reader.needed('variety', findVariety)
    const year = Number(setting.today.slice(0, 4))
    const body: SourceBody = {
      sourceId: setting.newId(),
      level: reader.needed('level', levels) ?? 'block',
      parentSourceId: null,
      name: reader.needed('name', name) ?? '',
      registryNumber: reader.cell('registry', name),
      varietyId: idOf.get(variety ?? '') ?? '',
      clone: reader.cell('clone', name),
      scheme: reader.cell('scheme', name),
      class: reader.cell('class', name),
      plantedYear: reader.cell('planted', (text) => readPlantedYear(text, year)),
      originLotId: null,
      vine: null,
      note: reader.cell('note', note) ?? '',
    }
    return { line, reader, body }
  })
  const all = [...setting.sources, ...read.map(({ body }) => body)]
  for (const { reader, body } of read) {
    const asWritten = reader.problems.length === 0
    if (asWritten) body.parentSourceId = parentOf(reader, body, all)
    if (asWritten && reader.problems.length === 0) twins(reader, body, all)
    problems.push(...reader.problems)
  }
  return { planned: read.map(({ line: { line }, body }) => ({ line, body })), problems }
}

function parentOf(
  reader: LineReader,
  body: SourceBody,
  all: readonly Omit<KnownSource, 'registryNumber'>[],
): string | null {
  const text = reader.raw('block')
  if (text === '') return null
  if (body.level === 'block') {
    return reader.problem('block', 'A block stands in no other block.', 'Empty this cell.')
  }
  const found = all.filter((one) => one.level === 'block' && foldName(one.name) === foldName(text))
  const [block] = found
  if (block === undefined) {
    const remedy = 'Write the name of a source block that is registered or stands in this file.'
    return reader.problem('block', 'No source block is called so.', remedy)
  }
  if (found.length > 1) {
    return reader.problem('block', 'Several source blocks are called so.', 'Rename one first.')
  }
  if (block.varietyId !== body.varietyId) {
    const remedy = 'Correct the variety or the block.'
    return reader.problem('variety', `The block ${block.name} is of another variety.`, remedy)
  }
  return block.sourceId
}

function twins(reader: LineReader, body: SourceBody, all: readonly Omit<KnownSource, 'level'>[]) {
  const others = all.filter(({ sourceId }) => sourceId !== body.sourceId)
  const isNamesake = (one: (typeof others)[number]) =>
    one.parentSourceId === body.parentSourceId && foldName(one.name) === foldName(body.name)
  if (others.some(isNamesake)) {
    const remedy = 'Delete the line if it is the same source; else give it another name.'
    reader.problem('name', 'A source of this name is registered, or stands in this file.', remedy)
  }
  const { registryNumber } = body
  if (registryNumber === null) return
  const numbered = others.find((one) => one.registryNumber === registryNumber)
  if (numbered === undefined) return
  const message = `${numbered.name} has this registry number.`
  reader.problem('registry', message, 'Check the number; delete the line if it is the same.')
}

/** The tests that the lines tell of; a test that is on record already is a problem. */
export function planTests(
  lines: readonly RegisterLine[],
  setting: RegisterSetting,
): RegisterPlan<TestBody> {
  const seen = new Set(setting.tests)
  const plan: RegisterPlan<TestBody> = { planned: [], problems: [] }
  for (const line of lines) {
    const reader = new LineReader(line)
    const body: TestBody = {
      sourceId: reader.needed('source', (text) => sourceNamed(text, setting.sources)) ?? '',
      agent: reader.needed('agent', name) ?? '',
      method: reader.needed('method', name) ?? '',
      laboratory: reader.needed('laboratory', name) ?? '',
      sampledOn: reader.needed('sampled', (text) => readDay(text, setting.today)) ?? '',
      pooledVines: reader.cell('pooled', readPooled) ?? 1,
      result: reader.needed('result', results) ?? 'inconclusive',
      sampleReference: reader.cell('sample', name),
      note: reader.cell('note', note) ?? '',
    }
    const key = testKey(body)
    if (reader.problems.length === 0 && seen.has(key)) {
      const remedy = 'Delete the line; a retest has a day or a sample number of its own.'
      reader.problem('sampled', 'This test is on record, or twice in this file.', remedy)
    }
    seen.add(key)
    plan.planned.push({ line: line.line, body })
    plan.problems.push(...reader.problems)
  }
  return plan
}

/** Tests with the same key are one test told twice. */
export function testKey(test: {
  sourceId: string
  agent: string
  method: string
  sampledOn: string
  sampleReference: string | null
}): string {
  const { sourceId, agent, method, sampledOn, sampleReference } = test
  return [sourceId, foldName(agent), foldName(method), sampledOn, sampleReference ?? ''].join('\n')
}

function sourceNamed(text: string, sources: readonly KnownSource[]): Reading<string> {
  const wanted = foldName(text)
  const found = sources.filter((source) =>
    [source.name, source.registryNumber ?? ''].some(
      (one) => one !== '' && foldName(one) === wanted,
    ),
  )
  const [source] = found
  if (source === undefined) {
    return refusedCell('No source is called so.', 'Register it first, or correct the name.')
  }
  if (found.length === 1) return acceptedCell(source.sourceId)
  return refusedCell('Several sources are called so.', 'Write the registry number instead.')
}

function readDay(text: string, today: string): Reading<string> {
  const isDay = /^(19|20)\d\d-\d\d-\d\d$/.test(text)
  const time = isDay ? Date.parse(`${text}T00:00:00Z`) : Number.NaN
  if (Number.isNaN(time) || new Date(time).toISOString().slice(0, 10) !== text) {
    return refusedCell(
      'This is no date that can be read in one way only.',
      'Write year, month and day, like 2027-02-03.',
    )
  }
  if (text <= today) return acceptedCell(text)
  return refusedCell('This day is still to come.', 'Write the day of sampling.')
}

function readPooled(text: string): Reading<number> {
  const count = Number(text)
  if (/^\d{1,4}$/.test(text) && count >= 1 && count <= 1000) return acceptedCell(count)
  return refusedCell('This is no number of vines.', 'Write a whole number from 1 to 1000.')
}
