// Reads one line of a block's CSV file: a section of a row, with the trunk that stands there.
import { NAME_LIMIT, POSITION_LIMIT } from '#wire/basics.ts'
import { cellText } from './cell-text.ts'
import { headingIn, type ColumnName, type Header } from './block-csv-header.ts'
import {
  cellFault,
  readPlantedYear,
  readPosition,
  readRowEnd,
  shownValue,
  tidySpace,
  type RowEnd,
} from './block-csv-cells.ts'
import { couldBeDecimal, readPositionList } from './position-list.ts'
import type { SheetLine } from './block-csv-sheet.ts'
import {
  ROW_LABEL_LIMIT,
  refusedCell,
  type CsvProblem,
  type Reading,
  type TrunkPart,
} from './block-csv-types.ts'
import type { VarietyFinder } from './variety-match.ts'

/** What one line says; positions count from `countedFrom`. */
export interface LineFacts {
  line: number
  label: string
  from: number
  to: number
  missing: number[]
  countedFrom: RowEnd
  rowPositions: number | null
  plantedYear: number | null
  rootstock: TrunkPart | null
  interstock: TrunkPart | null
  /** The cells that were read, for later problems with the line. */
  cells: Partial<Record<ColumnName, string>>
  /** Whether every cell of the line could be read; only then the numbers above mean something. */
  sound: boolean
}

/** What reading a line needs from outside, and where it reports. */
export interface LineReading {
  header: Header
  findVariety: VarietyFinder
  currentYear: number
  problems: CsvProblem[]
  notes: string[]
}

/** Reads one line; null where it is blank. Every cell that cannot be read becomes a problem. */
export function readLine(source: SheetLine, reading: LineReading): LineFacts | null {
  if (source.cells.every((cell) => tidySpace(cell) === '')) return null
  const before = reading.problems.length
  reportStrayCells(source, reading)
  const at: Place = { source, reading }
  const label = readLabel(at)
  const stretch = readStretch(at)
  const missing = readCell(at, 'missing', readPositionList) ?? []
  noteDecimalLook(at, missing)
  return {
    line: source.line,
    label: label ?? '',
    ...stretch,
    missing,
    countedFrom: readCell(at, 'countedFrom', readRowEnd) ?? 'head',
    rowPositions: readCell(at, 'rowPositions', readPosition),
    plantedYear: readCell(at, 'planted', (text) => readPlantedYear(text, reading.currentYear)),
    rootstock: readTrunkPart(at, 'rootstock', 'rootstockClone'),
    interstock: readTrunkPart(at, 'interstock', 'interstockClone'),
    cells: cellTexts(at),
    sound: reading.problems.length === before,
  }
}

// The line that is being read.
interface Place {
  source: SheetLine
  reading: LineReading
}

function textOf(at: Place, column: ColumnName): string {
  const place = at.reading.header.columns.get(column)
  return place === undefined ? '' : tidySpace(at.source.cells[place.index] ?? '')
}

function cellTexts(at: Place): Partial<Record<ColumnName, string>> {
  const texts: Partial<Record<ColumnName, string>> = {}
  for (const column of at.reading.header.columns.keys()) texts[column] = textOf(at, column)
  return texts
}

function readCell<Value>(
  at: Place,
  column: ColumnName,
  reader: (text: string) => Reading<Value>,
): Value | null {
  const text = textOf(at, column)
  if (text === '') return null
  const wrong = cellFault(text)
  const result = wrong === null ? reader(text) : refusedCell(wrong.message, wrong.remedy)
  if (result.ok) return result.value
  report(at, column, result.message, result.remedy)
  return null
}

function report(at: Place, column: ColumnName, message: string, remedy: string): void {
  const heading = headingIn(at.reading.header, column)
  const value = shownValue(textOf(at, column))
  at.reading.problems.push({ line: at.source.line, column: heading, value, message, remedy })
}

function readLabel(at: Place): string | null {
  if (textOf(at, 'row') !== '') {
    return readCell(at, 'row', (text) => cellText(text, ROW_LABEL_LIMIT))
  }
  report(
    at,
    'row',
    'The line names no row.',
    'Write the row’s label in every line of the row (a merged cell keeps it only in the first), ' +
      'or delete the line when it is a heading or a sum.',
  )
  return null
}

function readStretch(at: Place): { from: number; to: number } {
  const from = textOf(at, 'from') === '' ? 1 : readCell(at, 'from', readPosition)
  const to = readCell(at, 'to', readPosition)
  const vines = readCell(at, 'vines', readPosition)
  if (textOf(at, 'to') === '' && textOf(at, 'vines') === '') {
    report(
      at,
      'to',
      'The line does not say where the section ends.',
      'Write its last position under to, or the number of its places under vines.',
    )
  }
  if (from === null || (to === null && vines === null)) return { from: 1, to: 1 }
  const end = to ?? from + (vines ?? 1) - 1
  if (end < from) {
    report(at, 'to', `The section ends at ${end}, before it begins at ${from}.`, 'Swap the two.')
  } else if (to !== null && vines !== null && to - from + 1 !== vines) {
    report(
      at,
      'vines',
      `From ${from} to ${to} there are ${to - from + 1} places, not ${vines}.`,
      'Correct one of the numbers; a place without a vine counts too.',
    )
  } else if (end > POSITION_LIMIT) {
    report(
      at,
      'vines',
      `The section would end at ${end}; the longest row has ${POSITION_LIMIT} positions.`,
      'Check from and vines; split a longer row into two.',
    )
  }
  return { from, to: end }
}

function readTrunkPart(
  at: Place,
  nameColumn: 'rootstock' | 'interstock',
  cloneColumn: 'rootstockClone' | 'interstockClone',
): TrunkPart | null {
  const name = readCell(at, nameColumn, (text) => {
    const checked = cellText(text, NAME_LIMIT)
    return checked.ok ? at.reading.findVariety(checked.value) : checked
  })
  const clone = readCell(at, cloneColumn, (text) => cellText(text, NAME_LIMIT))
  if (textOf(at, cloneColumn) !== '' && textOf(at, nameColumn) === '') {
    report(
      at,
      cloneColumn,
      `A clone is named, but no ${nameColumn}.`,
      `Write the variety under ${nameColumn}, or empty this cell.`,
    )
  }
  return name === null ? null : { name, clone }
}

function reportStrayCells(source: SheetLine, reading: LineReading): void {
  for (const [index, cell] of source.cells.entries()) {
    const text = tidySpace(cell)
    if (text === '' || (reading.header.headings[index] ?? '') !== '') continue
    reading.problems.push({
      line: source.line,
      column: null,
      value: shownValue(text),
      message: `Cell ${index + 1} of the line stands under no heading.`,
      remedy:
        'Give the column a heading or empty it. If a cell of the line holds the separator, ' +
        'put that cell in quotation marks.',
    })
  }
}

function noteDecimalLook(at: Place, missing: readonly number[]): void {
  const text = textOf(at, 'missing')
  if (missing.length !== 2 || !couldBeDecimal(text)) return
  const [first, second] = missing
  at.reading.notes.push(
    `Line ${at.source.line}: “${text}” was read as the missing positions ${first} and ${second}. ` +
      `If ${first} and ${second}0 were meant, the spreadsheet has dropped the zero.`,
  )
}
