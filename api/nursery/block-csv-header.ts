// Recognises the headings of a block's CSV file, in English or Spanish, and names the wrong ones.
import { closestName, foldName, isSlip } from './closest-name.ts'
import { shownValue } from './block-csv-cells.ts'
import type { SheetLine } from './block-csv-sheet.ts'
import type { CsvProblem } from './block-csv-types.ts'

// Every heading a column may have; the first is the one that is written out.
const headings = {
  row: ['row', 'row label', 'row number', 'row no', 'fila', 'hilera', 'línea', 'liño', 'fila nº'],
  from: ['from', 'from position', 'first vine', 'start', 'desde', 'inicio', 'primera cepa'],
  to: ['to', 'to position', 'last vine', 'end', 'hasta', 'fin', 'última cepa'],
  vines: ['vines', 'vine count', 'number of vines', 'count', 'cepas', 'vides', 'plantas'],
  missing: [
    'missing',
    'missing vines',
    'gaps',
    'faltas',
    'faltantes',
    'marras',
    'fallos',
    'huecos',
  ],
  rootstock: ['rootstock', 'root stock', 'portainjerto', 'portainjertos', 'patrón', 'pie'],
  rootstockClone: [
    'rootstock_clone',
    'clone of rootstock',
    'clon portainjerto',
    'clon del portainjerto',
    'clon patrón',
    'portainjerto clon',
  ],
  interstock: ['interstock', 'interstem', 'intermedio', 'injerto intermedio', 'madera intermedia'],
  interstockClone: [
    'interstock_clone',
    'clone of interstock',
    'clon intermedio',
    'clon del intermedio',
    'intermedio clon',
  ],
  planted: [
    'planted',
    'year planted',
    'planted year',
    'planting year',
    'plantado',
    'plantada',
    'año de plantación',
    'año plantación',
  ],
  countedFrom: [
    'counted_from',
    'count from',
    'contado desde',
    'contada desde',
    'contadas desde',
    'cuenta desde',
  ],
  rowPositions: [
    'row_positions',
    'positions in row',
    'places in row',
    'posiciones de la fila',
    'puestos de la fila',
    'marcos de la fila',
  ],
} as const satisfies Record<string, readonly [string, ...string[]]>

/** A column that is read. */
export type ColumnName = keyof typeof headings

/** Where each column stands, and how the file writes its heading. */
export interface Header {
  line: number
  columns: Map<ColumnName, { index: number; heading: string }>
  /** Headings of all cells, known or not, for problems about the cell under them. */
  headings: string[]
}

/** The heading that is written out for a column. */
export function headingOf(column: ColumnName): string {
  return headings[column][0]
}

/** The heading that the file has over a column, or should have where it is absent. */
export function headingIn(header: Header, column: ColumnName): string {
  return header.columns.get(column)?.heading ?? headingOf(column)
}

/** How many of these cells are headings of a block's file. */
export function recognisedHeadings(cells: readonly string[]): number {
  return cells.filter((cell) => columnByFold.has(foldHeading(cell))).length
}

/**
 * Reads one line as headings. Headings that are doubled, needed and absent, or probably
 * mistyped become problems; other columns are left out and named in a note.
 */
export function readHeader(line: SheetLine): {
  header: Header
  problems: CsvProblem[]
  notes: string[]
} {
  const names = line.cells.map((cell) => cell.trim())
  const header: Header = { line: line.line, columns: new Map(), headings: names }
  const problems: CsvProblem[] = []
  const unknown: { index: number; heading: string }[] = []
  for (const [index, heading] of names.entries()) {
    if (heading === '') continue
    const column = columnByFold.get(foldHeading(heading))
    if (column === undefined) {
      unknown.push({ index, heading })
      continue
    }
    const first = header.columns.get(column)
    if (first === undefined) header.columns.set(column, { index, heading })
    else problems.push(doubled(line.line, first, { index, heading }))
  }
  const slips = unknown.flatMap((entry) => probablyMeant(entry, header))
  const absent = absentColumns(header)
  if (absent !== null) problems.push(headingsAbsent(line.line, names, absent, slips))
  else problems.push(...slips.map((slip) => mistyped(line.line, slip)))
  return { header, problems, notes: leftOutNotes(unknown, slips) }
}

/** The letter that a spreadsheet shows over a column: A for 0, Z for 25, AA for 26. */
export function columnLetter(index: number): string {
  const rest = Math.floor(index / 26)
  return (rest === 0 ? '' : columnLetter(rest - 1)) + String.fromCharCode(65 + (index % 26))
}

const columnByFold = new Map<string, ColumnName>()
for (const [column, names] of Object.entries(headings)) {
  for (const name of names) columnByFold.set(foldHeading(name), column as ColumnName)
}

function foldHeading(text: string): string {
  return foldName(text).replace(/[\s_\-.:]/gu, '')
}

interface Slip {
  index: number
  heading: string
  column: ColumnName
  meant: string
}

function probablyMeant(entry: { index: number; heading: string }, header: Header): Slip[] {
  const sought = foldHeading(entry.heading)
  const free = Object.entries(headings).filter(([name]) => !header.columns.has(name as ColumnName))
  const spellings = free.flatMap(([, names]) => names.map(foldHeading))
  const closest = closestName(sought, spellings)
  if (closest === null || !isSlip(closest.distance, sought.length)) return []
  if (sought.length < 3) return []
  const column = columnByFold.get(closest.name)
  if (column === undefined) return []
  const meant = headings[column].find((name) => foldHeading(name) === closest.name)
  return [{ ...entry, column, meant: meant ?? headingOf(column) }]
}

function absentColumns(header: Header): string | null {
  const lacksRow = !header.columns.has('row')
  const lacksEnd = !header.columns.has('to') && !header.columns.has('vines')
  if (lacksRow && lacksEnd) return 'headings “row” and “to” (or “vines”) are'
  if (lacksRow) return 'heading “row” is'
  return lacksEnd ? 'heading “to” (or “vines”) is' : null
}

function headingsAbsent(
  line: number,
  names: readonly string[],
  absent: string,
  slips: readonly Slip[],
): CsvProblem {
  const found = names.filter((name) => name !== '').map((name) => `“${shownValue(name)}”`)
  const meant = slips.map((slip) => `“${shownValue(slip.heading)}” is near “${slip.meant}”`)
  const nearest = meant.length === 0 ? '' : ` ${meant.join('; ')}: correct the spelling.`
  return {
    line,
    column: null,
    value: shownValue(names.join(' | ')),
    message:
      `The ${absent} needed and not found. ` +
      `Found: ${found.length === 0 ? 'no headings' : found.join(', ')}.`,
    remedy:
      `Put the headings in the first line. Needed: row, and to or vines. ` +
      `Read as well: ${optionalHeadings()}.${nearest}`,
  }
}

function optionalHeadings(): string {
  const needed: readonly string[] = ['row', 'to', 'vines']
  const columns = Object.keys(headings) as ColumnName[]
  return columns
    .filter((column) => !needed.includes(column))
    .map(headingOf)
    .join(', ')
}

function mistyped(line: number, slip: Slip): CsvProblem {
  return {
    line,
    column: slip.heading,
    value: shownValue(slip.heading),
    message: `The heading in column ${columnLetter(slip.index)} is not known.`,
    remedy:
      `If “${slip.meant}” is meant, write it so. ` +
      'If not, give the column a quite different heading; it is then left out.',
  }
}

function doubled(
  line: number,
  first: { index: number; heading: string },
  second: { index: number; heading: string },
): CsvProblem {
  const same = first.heading === second.heading
  return {
    line,
    column: second.heading,
    value: shownValue(second.heading),
    message:
      `Columns ${columnLetter(first.index)} (“${shownValue(first.heading)}”) and ` +
      `${columnLetter(second.index)} (“${shownValue(second.heading)}”) ` +
      `${same ? 'have the same heading' : 'mean the same'}.`,
    remedy: 'Keep one of them, or give the other a different heading.',
  }
}

function leftOutNotes(
  unknown: readonly { index: number; heading: string }[],
  slips: readonly Slip[],
): string[] {
  const leftOut = unknown.filter((entry) => !slips.some((slip) => slip.index === entry.index))
  if (leftOut.length === 0) return []
  const names = leftOut.map(
    (entry) => `${columnLetter(entry.index)} “${shownValue(entry.heading)}”`,
  )
  return [`These columns are not read: ${names.join(', ')}.`]
}
