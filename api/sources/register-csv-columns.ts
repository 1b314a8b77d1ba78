// The columns of a file of sources, or of tests, and the headings by which each is known.
import { foldName } from '../nursery/closest-name.ts'

/** What a file holds. */
export type RegisterFile = 'sources' | 'tests'

export type SourceColumn =
  | 'name'
  | 'level'
  | 'block'
  | 'registry'
  | 'variety'
  | 'clone'
  | 'scheme'
  | 'class'
  | 'planted'
  | 'note'
export type TestColumn =
  'source' | 'agent' | 'method' | 'laboratory' | 'sampled' | 'pooled' | 'result' | 'sample' | 'note'
export type RegisterColumn = SourceColumn | TestColumn

/** One column: its headings, the first of them the one to write, and what it holds. */
export type ColumnWords = {
  column: RegisterColumn
  headings: readonly [string, ...string[]]
  needed: boolean
  words: string
}

export const registerColumns: Record<RegisterFile, readonly ColumnWords[]> = {
  sources: [
    one('name', ['name', 'source', 'nombre', 'origen'], true, 'the source’s name'),
    one('level', ['level', 'what', 'nivel'], true, 'block or vine'),
    one('block', ['block', 'in block', 'bloque'], false, 'for a vine: the source block’s name'),
    one(
      'registry',
      ['registry_number', 'registry', 'número de registro', 'registro'],
      false,
      'the number on the register',
    ),
    one('variety', ['variety', 'variedad', 'cultivar'], true, 'a registered variety'),
    one('clone', ['clone', 'clon'], false, 'the clone'),
    one('scheme', ['scheme', 'programa', 'esquema'], false, 'the scheme'),
    one('class', ['class', 'category', 'clase', 'categoría'], false, 'the class in that scheme'),
    one('planted', ['planted', 'year planted', 'plantado'], false, 'the year, four digits'),
    one('note', ['note', 'nota'], false, 'anything else'),
  ],
  tests: [
    one(
      'source',
      ['source', 'name', 'registry_number', 'registry', 'origen'],
      true,
      'the source’s name or registry number',
    ),
    one('agent', ['agent', 'agente'], true, 'what was looked for'),
    one('method', ['method', 'método'], true, 'like ELISA'),
    one('laboratory', ['laboratory', 'lab', 'laboratorio'], true, 'who tested'),
    one(
      'sampled',
      ['sampled', 'sampled on', 'sampling date', 'muestreado'],
      true,
      'like 2027-02-03',
    ),
    one('pooled', ['vines', 'pooled vines', 'cepas'], false, 'vines in the sample; empty is one'),
    one('result', ['result', 'resultado'], true, 'not detected, detected or inconclusive'),
    one('sample', ['sample', 'sample reference', 'muestra'], false, 'the sample’s number'),
    one('note', ['note', 'nota'], false, 'anything else'),
  ],
}

function one(
  column: RegisterColumn,
  headings: readonly [string, ...string[]],
  needed: boolean,
  words: string,
): ColumnWords {
  return { column, headings, needed, words }
}

/** The column that a heading names, or null. */
export function columnNamed(file: RegisterFile, heading: string): ColumnWords | null {
  const wanted = plain(heading)
  return (
    registerColumns[file].find(({ headings }) => headings.some((one) => plain(one) === wanted)) ??
    null
  )
}

const plain = (text: string) => foldName(text).replace(/[\s_\-.:]/gu, '')
