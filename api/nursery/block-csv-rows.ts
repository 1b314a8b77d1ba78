// Puts the lines of a block's CSV file together into rows and checks that each row is whole.
import { ROW_LIMIT, SECTION_LIMIT } from '#wire/kinds/nursery.ts'
import { foldName } from './closest-name.ts'
import { shownValue } from './block-csv-cells.ts'
import { headingIn, type ColumnName, type Header } from './block-csv-header.ts'
import type { LineFacts } from './block-csv-line.ts'
import { writePositionList } from './position-list.ts'
import type { CsvProblem, ParsedRow, ParsedSection } from './block-csv-types.ts'

/**
 * Groups lines by row label, in the order of first appearance, and turns positions counted from
 * the far end into positions from the head. Rows with a problem are left out of the answer but
 * keep their place in the sequence.
 */
export function assembleRows(
  lines: readonly LineFacts[],
  rowsNumberedFrom: 'first' | 'last',
  header: Header,
  problems: CsvProblem[],
): ParsedRow[] {
  const report = reporter(header, problems)
  const groups = groupByLabel(lines, report)
  if (groups.length > ROW_LIMIT) {
    const first = groups[ROW_LIMIT]?.[0]
    const message = `The block has ${groups.length} rows; at most ${ROW_LIMIT} are possible.`
    report(first, 'row', message, 'Divide the block into several blocks.')
  }
  const rows: ParsedRow[] = []
  for (const [index, group] of groups.entries()) {
    const sequence = rowsNumberedFrom === 'first' ? index + 1 : groups.length - index
    const row = index < ROW_LIMIT ? assembleRow(group, sequence, report) : null
    if (row !== null) rows.push(row)
  }
  return rows.sort((left, right) => left.sequence - right.sequence)
}

function groupByLabel(lines: readonly LineFacts[], report: Report): LineFacts[][] {
  const groups = new Map<string, LineFacts[]>()
  for (const line of lines) {
    if (line.label === '') continue
    const key = foldName(line.label)
    const group = groups.get(key)
    if (group === undefined) {
      groups.set(key, [line])
      continue
    }
    const first = group[0]
    if (first !== undefined && first.label !== line.label) {
      const message = `“${line.label}” here and “${first.label}” in line ${first.line} look alike.`
      report(line, 'row', message, 'Write the label the same way, or quite differently.')
      line.sound = false
    }
    group.push(line)
  }
  return [...groups.values()]
}

function assembleRow(
  lines: readonly LineFacts[],
  sequence: number,
  report: Report,
): ParsedRow | null {
  const [first] = lines
  if (first === undefined || !lines.every((line) => line.sound)) return null
  const positionCount = rowLength(lines, report)
  if (positionCount === null || !staysInside(lines, positionCount, report)) return null
  const missing = new Set<number>()
  for (const line of lines) {
    for (const position of line.missing) missing.add(fromHead(line, position, positionCount))
  }
  const placed = lines.map((line) => placeSection(line, positionCount))
  placed.sort((left, right) => left.fromPosition - right.fromPosition)
  const apart = standsApart(placed, report)
  const closed = leavesNoGap(placed, missing, positionCount, report)
  if (!apart || !closed) return null
  return {
    label: first.label,
    sequence,
    positionCount,
    missing: [...missing].sort((left, right) => left - right),
    sections: placed.map(({ section }) => section),
  }
}

function rowLength(lines: readonly LineFacts[], report: Report): number | null {
  const stated = lines.find((line) => line.rowPositions !== null)
  const otherwise = lines.find(
    (line) => line.rowPositions !== null && line.rowPositions !== stated?.rowPositions,
  )
  if (stated !== undefined && otherwise !== undefined) {
    const message =
      `Row ${stated.label} has ${stated.rowPositions} positions by line ${stated.line} ` +
      `and ${otherwise.rowPositions} by this line.`
    report(otherwise, 'rowPositions', message, 'Write the same number in both lines.')
    return null
  }
  if (stated !== undefined) return stated.rowPositions
  const [first] = lines
  const turned = lines.find((line) => line.countedFrom !== first?.countedFrom)
  if (turned !== undefined) {
    const message =
      `Row ${turned.label} is counted from the ${turned.countedFrom} end here and from the other ` +
      `end in line ${first?.line}; its length is then not known.`
    const remedy = 'Count all its lines from one end, or add row_positions: the row’s positions.'
    report(turned, 'countedFrom', message, remedy)
    return null
  }
  return Math.max(...lines.map((line) => line.to))
}

function staysInside(lines: readonly LineFacts[], positionCount: number, report: Report): boolean {
  let inside = true
  for (const line of lines) {
    if (line.to > positionCount) {
      inside = false
      const message = `The section ends at ${line.to}, but the row has ${positionCount} positions.`
      report(line, 'to', message, 'Correct to or row_positions.')
    }
    const outside = line.missing.filter((position) => position > positionCount)
    if (outside.length === 0) continue
    inside = false
    const listed = `${plural(outside)} ${writePositionList(outside, '–')}`
    const message = `Row ${line.label} has ${positionCount} positions; ${listed} outside it.`
    const remedy = 'Correct the positions, or make the row longer with row_positions.'
    report(line, 'missing', message, remedy)
  }
  const [first] = lines
  if (first !== undefined && lines.length > SECTION_LIMIT) {
    inside = false
    const message = `Row ${first.label} has ${lines.length} sections; ${SECTION_LIMIT} at most.`
    report(first, 'row', message, 'Put neighbouring sections with the same trunk together.')
  }
  return inside
}

// A section with the line that describes it; both positions are counted from the head.
interface PlacedSection {
  fromPosition: number
  toPosition: number
  section: ParsedSection
  line: LineFacts
}

function placeSection(line: LineFacts, positionCount: number): PlacedSection {
  const ends = [fromHead(line, line.from, positionCount), fromHead(line, line.to, positionCount)]
  const fromPosition = Math.min(...ends)
  const toPosition = Math.max(...ends)
  const { plantedYear, rootstock, interstock } = line
  const section = { fromPosition, toPosition, plantedYear, rootstock, interstock }
  return { fromPosition, toPosition, section, line }
}

function fromHead(line: LineFacts, position: number, positionCount: number): number {
  return line.countedFrom === 'head' ? position : positionCount + 1 - position
}

function standsApart(placed: readonly PlacedSection[], report: Report): boolean {
  let apart = true
  let furthest: PlacedSection | undefined
  for (const section of placed) {
    if (furthest !== undefined && section.fromPosition <= furthest.toPosition) {
      apart = false
      const last = Math.min(section.toPosition, furthest.toPosition)
      const both = Array.from(
        { length: last - section.fromPosition + 1 },
        (_, index) => section.fromPosition + index,
      )
      const message =
        `Lines ${furthest.line.line} and ${section.line.line} both describe ${plural(both)} ` +
        `${writePositionList(both, '–')} of row ${section.line.label}, counted from the head.`
      const remedy =
        'Correct from and to so that the sections do not overlap. If two rows have the same ' +
        'label, give one of them another.'
      report(section.line, 'from', message, remedy)
    }
    if (furthest === undefined || section.toPosition > furthest.toPosition) furthest = section
  }
  return apart
}

function leavesNoGap(
  placed: readonly PlacedSection[],
  missing: ReadonlySet<number>,
  positionCount: number,
  report: Report,
): boolean {
  const open: number[] = []
  let next = 1
  for (const section of [...placed, { fromPosition: positionCount + 1, toPosition: 0 }]) {
    for (; next < section.fromPosition; next += 1) if (!missing.has(next)) open.push(next)
    next = Math.max(next, section.toPosition + 1)
  }
  const line = placed[0]?.line
  if (open.length === 0 || line === undefined) return true
  const message =
    `No line of row ${line.label} describes ${plural(open)} ${writePositionList(open, '–')}, ` +
    'counted from the head.'
  report(line, 'from', message, 'Add a line for that section, or list them under missing.')
  return false
}

function plural(positions: readonly number[]): string {
  return positions.length === 1 ? 'position' : 'positions'
}

type Report = (
  line: LineFacts | undefined,
  column: ColumnName,
  message: string,
  remedy: string,
) => void

function reporter(header: Header, problems: CsvProblem[]): Report {
  return function report(line, column, message, remedy) {
    problems.push({
      line: line?.line ?? null,
      column: headingIn(header, column),
      value: shownValue(line?.cells[column] ?? ''),
      message,
      remedy,
    })
  }
}
