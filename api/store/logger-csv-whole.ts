// What is wrong with a logger's file as a whole: two loggers in it, or degrees of another scale.
import type { LoggerLayoutShape } from '#wire/kinds/climate.ts'
import type { CsvProblem } from '../nursery/block-csv-types.ts'
import { headerNames } from './logger-csv-guess.ts'
import { cellsOf } from './logger-csv-sheet.ts'
import type { CsvReading, LoggerCsvOptions } from './logger-csv-types.ts'

/** A cold room is hardly ever warmer: more than half of the readings above this is a doubt. */
const WARM_CENTI_C = 3000

/** Every problem of the whole file. */
export function fileProblems(
  lines: readonly string[],
  layout: LoggerLayoutShape,
  readings: readonly CsvReading[],
  options: LoggerCsvOptions,
): CsvProblem[] {
  const problems: CsvProblem[] = []
  const warm = warmProblem(layout, readings)
  if (warm !== null && !options.warmIsRight) problems.push(warm)
  const two = secondHeader(lines, layout) ?? secondName(lines, layout)
  if (two !== null) problems.push(two)
  return problems
}

function warmProblem(
  layout: LoggerLayoutShape,
  readings: readonly CsvReading[],
): CsvProblem | null {
  const warm = readings.filter(({ centiC }) => centiC > WARM_CENTI_C)
  const first = warm[0]
  if (first === undefined || warm.length * 2 <= readings.length) return null
  const unit = layout.unit === 'C' ? '°F' : '°C'
  return {
    line: first.line,
    column: null,
    value: `${(first.centiC / 100).toFixed(1)} °C`,
    message: `${warm.length} of ${readings.length} readings are above 30 °C.`,
    remedy: `Choose ${unit} if that is the file’s unit, or say that it really was so warm.`,
  }
}

/** The heading once more, further down: two files joined. */
function secondHeader(lines: readonly string[], layout: LoggerLayoutShape): CsvProblem | null {
  const header = lines[layout.headerLines - 1]?.trim() ?? ''
  if (header === '') return null
  const again = lines.findIndex((line, nr) => nr >= layout.headerLines && line.trim() === header)
  if (again < 0) return null
  return {
    line: again + 1,
    column: null,
    value: header.slice(0, 80),
    message: 'The headings stand here once more: two exports were joined, maybe of two loggers.',
    remedy: 'Part the file before this line and read each part in for its own logger.',
  }
}

const loggerNames = /serial|logger|device|sensor|station|probe|channel/i

/** A column that names the logger, with more than one name in it. */
function secondName(lines: readonly string[], layout: LoggerLayoutShape): CsvProblem | null {
  const names = headerNames(lines, layout.headerLines, layout.separator)
  const taken = [layout.timeColumn, layout.clockColumn, layout.tempColumn, layout.humidityColumn]
  const column = names.findIndex((name, nr) => loggerNames.test(name) && !taken.includes(nr + 1))
  if (column < 0) return null
  let first: string | null = null
  for (let nr = layout.headerLines; nr < lines.length; nr += 1) {
    const cell = cellsOf(lines[nr] ?? '', layout.separator)[column] ?? ''
    if (cell === '') continue
    if (first !== null && cell !== first) {
      return {
        line: nr + 1,
        column: names[column] ?? null,
        value: cell.slice(0, 80),
        message: `The file holds readings of two loggers: ${first} above, ${cell} from here.`,
        remedy: 'Export each logger by itself and read each file in for its own logger.',
      }
    }
    first = cell
  }
  return null
}
