// Guesses how a logger's file is laid out, from its first lines and what they look like.
import type { LoggerLayoutShape } from '#wire/kinds/climate.ts'
import { cellsOf, readNumber } from './logger-csv-sheet.ts'
import type { Separator } from './logger-csv-sheet.ts'
import { dateParts, partDateTime, readTime } from './logger-csv-times.ts'
import type { DateOrder } from './logger-csv-times.ts'

/** Most lines that a guess looks at, spread over the file. */
const LOOKED_AT = 400
/** Most lines above the readings. */
export const HEADER_LIMIT = 200

/** A layout and what was unsure about it. */
export type Guess = { layout: LoggerLayoutShape; notes: string[] }

const separators: readonly Separator[] = [';', '\t', ',']
const decimals = ['.', ','] as const
const orders: readonly DateOrder[] = ['year month day', 'day month year', 'month day year']

/** The likeliest layout; null when no line looks like a time with a temperature. */
export function guessLayout(lines: readonly string[], zone: string): Guess | null {
  let best: { guess: Guess; fit: number } | null = null
  for (const separator of separators) {
    for (const decimal of decimals) {
      if (separator === ',' && decimal === ',' && !lines.some((line) => line.includes('"')))
        continue
      const found = tryLayout(lines, { separator, decimal, zone })
      if (found !== null && (best === null || found.fit > best.fit)) best = found
    }
  }
  return best === null ? null : best.guess
}

type Marks = { separator: Separator; decimal: '.' | ','; zone: string }

function tryLayout(lines: readonly string[], marks: Marks) {
  const sample = sampleOf(lines).map(({ line, nr }) => ({
    nr,
    cells: cellsOf(line, marks.separator),
  }))
  const times = timeColumns(sample.map(({ cells }) => cells))
  if (times === null) return null
  const isData = (cells: readonly string[]) =>
    dateOf(cells, times).date !== '' && dateParts(dateOf(cells, times).date) !== null
  const data = sample.filter(({ cells }) => isData(cells)).map(({ cells }) => cells)
  const firstData = lines.findIndex((line) => isData(cellsOf(line, marks.separator)))
  if (data.length === 0 || firstData < 0 || firstData > HEADER_LIMIT) return null
  const names = headerNames(lines, firstData, marks.separator)
  const columns = valueColumns(data, names, times, marks.decimal)
  if (columns === null) return null
  const { order, unsure } = orderOf(data.map((cells) => dateOf(cells, times)))
  const notes = [...columns.notes, ...(unsure ? [unsureOrder] : [])]
  const layout: LoggerLayoutShape = {
    separator: marks.separator,
    decimal: marks.decimal,
    dateOrder: order,
    unit: unitOf(names[columns.temp] ?? '', lines.slice(0, firstData)),
    zone: marks.zone,
    headerLines: firstData,
    timeColumn: times.date + 1,
    clockColumn: times.clock === null ? null : times.clock + 1,
    tempColumn: columns.temp + 1,
    humidityColumn: columns.humidity === null ? null : columns.humidity + 1,
  }
  return { guess: { layout, notes }, fit: columns.fit / sample.length + data.length / 1e6 }
}

const unsureOrder =
  'The dates could be day before month or month before day. Look at the first and last reading.'

/** Lines from the head, and some from all over the file. */
function sampleOf(lines: readonly string[]): { line: string; nr: number }[] {
  const step = Math.max(1, Math.floor(lines.length / LOOKED_AT))
  return lines.flatMap((line, nr) => {
    const isLookedAt = nr < LOOKED_AT / 2 || nr % step === 0
    return isLookedAt && line.trim() !== '' ? [{ line, nr }] : []
  })
}

type TimeColumns = { date: number; clock: number | null }

function timeColumns(sample: readonly string[][]): TimeColumns | null {
  const width = Math.max(0, ...sample.map((cells) => cells.length))
  const count = (is: (cell: string) => boolean) =>
    Array.from({ length: width }, (_, column) => {
      return sample.filter((cells) => is(cells[column] ?? '')).length
    })
  const whole = count((cell) => {
    const { date, clock } = partDateTime(cell)
    return clock !== '' && dateParts(date) !== null
  })
  const dates = count((cell) => dateParts(cell) !== null)
  const clocks = count((cell) => /^\d{1,2}:\d{2}/.test(cell))
  const least = sample.length / 3
  const first = (counts: number[]) => counts.findIndex((many) => many > 0 && many >= least)
  if (first(whole) >= 0) return { date: first(whole), clock: null }
  if (first(dates) < 0 || first(clocks) < 0) return null
  return { date: first(dates), clock: first(clocks) }
}

function dateOf(cells: readonly string[], { date, clock }: TimeColumns) {
  const text = cells[date] ?? ''
  return clock === null ? partDateTime(text) : { date: text, clock: cells[clock] ?? '' }
}

/** The names of the columns: the last line above the readings that has as many cells. */
export function headerNames(
  lines: readonly string[],
  headerLines: number,
  separator: Separator,
): string[] {
  const above = lines.slice(0, headerLines).map((line) => cellsOf(line, separator))
  return above.findLast((cells) => cells.filter((cell) => cell !== '').length > 1) ?? []
}

const tempNames = /temp|celsius|fahrenheit|°\s*[cf]\b|\bdeg/i
const humidityNames = /hum|feucht|humed|umid|\brh\b|%/i

function valueColumns(
  data: readonly string[][],
  names: readonly string[],
  times: TimeColumns,
  decimal: '.' | ',',
) {
  const width = Math.max(...data.map((cells) => cells.length))
  const candidates = Array.from({ length: width }, (_, column) => column).filter((column) => {
    return column !== times.date && column !== times.clock && !isCounter(data, column)
  })
  const numbers = (column: number) =>
    data.filter((cells) => readNumber(cells[column] ?? '', decimal) !== null).length
  const numeric = candidates.filter((column) => numbers(column) > data.length / 2)
  const named = numeric.filter((column) => tempNames.test(names[column] ?? ''))
  const isHumid = (column: number) => humidityNames.test(names[column] ?? '')
  const isPercent = (column: number) =>
    data.every((cells) => {
      const value = readNumber(cells[column] ?? '', decimal)
      return value === null || (value >= 0 && value <= 101)
    })
  const temp = named[0] ?? numeric.find((column) => !isHumid(column))
  if (temp === undefined) return null
  const humidity =
    numeric.find((column) => column !== temp && isHumid(column)) ??
    (names.length === 0 ? numeric.find((column) => column > temp && isPercent(column)) : null) ??
    null
  const notes =
    named.length > 1
      ? [
          `Columns ${named.map((nr) => nr + 1).join(', ')} all look like temperatures; ` +
            'the first is read.',
        ]
      : []
  return { temp, humidity, notes, fit: numbers(temp) }
}

/** A column that counts the lines. */
function isCounter(data: readonly string[][], column: number): boolean {
  const values = data.slice(0, 50).map((cells) => Number(cells[column] ?? Number.NaN))
  if (values.length < 3) return false
  return values.every((value, nr) => nr === 0 || value === (values[nr - 1] ?? 0) + 1)
}

/** The order in which every date is one; of two that fit, the one that makes the smaller steps. */
function orderOf(written: readonly { date: string; clock: string }[]) {
  const fitting = orders.flatMap((order) => {
    const times = written.map(({ date, clock }) => readTime(date, clock, order))
    const read = times.flatMap((time) => (time === null ? [] : [time.localMs]))
    const steps = read.slice(1).map((at, nr) => Math.abs(at - (read[nr] ?? at)))
    const longest = Math.max(0, ...steps)
    return [{ order, read: read.length, longest }]
  })
  fitting.sort((one, other) => other.read - one.read || one.longest - other.longest)
  const [first, second] = fitting
  const unsure = first?.read === second?.read && first?.longest === second?.longest
  return { order: first?.order ?? orders[0] ?? 'year month day', unsure }
}

function unitOf(name: string, above: readonly string[]): 'C' | 'F' {
  const says = (text: string) => /°\s*f\b|\bfahrenheit|\(f\)|deg\s*f\b|_f$/i.test(text)
  const saysC = /°\s*c\b|celsius|\(c\)|deg\s*c\b/i.test(name)
  return says(name) || (!saysC && above.some(says)) ? 'F' : 'C'
}
