// Reads the lines of a logger's file by a known layout, in order of time, each problem by its line.
import type { LoggerLayoutShape } from '#wire/kinds/climate.ts'
import { COLDEST_CENTI_C, WARMEST_CENTI_C } from '#wire/kinds/climate.ts'
import { MS_PER_MINUTE } from '#trade/intervals.ts'
import type { CsvProblem, Fault } from '../nursery/block-csv-types.ts'
import { headerNames } from './logger-csv-guess.ts'
import { cellsOf, isNoValue, readNumber } from './logger-csv-sheet.ts'
import { partDateTime, readTime, ZoneClock } from './logger-csv-times.ts'
import type { WrittenTime } from './logger-csv-times.ts'
import { fileProblems } from './logger-csv-whole.ts'
import { LOGGER_PROBLEMS_LIMIT } from './logger-csv-types.ts'
import type { CsvReading, LoggerCsvOptions, LoggerCsvResult } from './logger-csv-types.ts'

/** How far a logger's clock may be ahead of ours, in minutes. */
const AHEAD_MINUTES = 15
const EARLIEST = Date.UTC(1990, 0, 1)

type Read = Pick<
  LoggerCsvResult,
  'readings' | 'problems' | 'problemCount' | 'fileProblem' | 'leftOut' | 'notes'
>
type Line = { line: number; time: WrittenTime; centiC: number; humidityTenths: number | null }

/** Reads every line below the header. */
export function readLines(
  lines: readonly string[],
  layout: LoggerLayoutShape,
  options: LoggerCsvOptions,
): Read {
  const reader = new LineReader(lines, layout, options)
  return reader.read()
}

class LineReader {
  private readonly lines: readonly string[]
  private readonly layout: LoggerLayoutShape
  private readonly options: LoggerCsvOptions
  private readonly names: readonly string[]
  private readonly clock: ZoneClock
  private readonly problems: CsvProblem[] = []
  private readonly notes: string[] = []
  private problemCount = 0
  private changedHours = 0
  private doubled = 0
  private noHumidity = 0

  constructor(lines: readonly string[], layout: LoggerLayoutShape, options: LoggerCsvOptions) {
    this.lines = lines
    this.layout = layout
    this.options = options
    this.names = headerNames(lines, layout.headerLines, layout.separator)
    this.clock = new ZoneClock(layout.zone)
  }

  read(): Read {
    const parsed: Line[] = []
    for (let nr = this.layout.headerLines; nr < this.lines.length; nr += 1) {
      const text = this.lines[nr] ?? ''
      if (text.trim() === '') continue
      const line = this.readLine(text, nr + 1)
      if (line !== null) parsed.push(line)
    }
    const readings = this.inTime(this.rising(parsed))
    const ofFile = fileProblems(this.lines, this.layout, readings, this.options)
    this.noteCounts()
    const leaves = this.options.leaveOut
    const lineProblems = leaves ? [] : this.problems
    return {
      readings,
      problems: [...ofFile, ...lineProblems],
      problemCount: ofFile.length + (leaves ? 0 : this.problemCount),
      fileProblem: ofFile.length > 0 || readings.length === 0,
      leftOut: leaves ? this.problemCount : 0,
      notes: this.notes,
    }
  }

  private readLine(text: string, line: number): Line | null {
    const { layout } = this
    const cells = cellsOf(text, layout.separator)
    const cell = (column: number | null) => (column === null ? '' : (cells[column - 1] ?? ''))
    const whole = cell(layout.timeColumn)
    const { date, clock } =
      layout.clockColumn === null
        ? partDateTime(whole)
        : { date: whole, clock: cell(layout.clockColumn) }
    const time = readTime(date, clock, layout.dateOrder)
    if (time === null) {
      return this.problem(line, layout.timeColumn, `${date} ${clock}`.trim() || text, noTime)
    }
    const temp = readNumber(cell(layout.tempColumn), layout.decimal)
    if (temp === null) {
      return this.problem(line, layout.tempColumn, cell(layout.tempColumn), noTemperature)
    }
    const centiC = Math.round((layout.unit === 'F' ? (temp - 32) / 1.8 : temp) * 100)
    if (centiC < COLDEST_CENTI_C || centiC > WARMEST_CENTI_C) {
      return this.problem(line, layout.tempColumn, cell(layout.tempColumn), noSuchTemperature)
    }
    const humidity = this.readHumidity(cell(layout.humidityColumn), line)
    return humidity === undefined ? null : { line, time, centiC, humidityTenths: humidity }
  }

  /** Undefined where the line has a problem. */
  private readHumidity(text: string, line: number): number | null | undefined {
    const { humidityColumn, decimal } = this.layout
    if (humidityColumn === null) return null
    if (isNoValue(text)) {
      this.noHumidity += 1
      return null
    }
    const percent = readNumber(text, decimal)
    if (percent !== null && percent >= 0 && percent <= 100) return Math.round(percent * 10)
    this.problem(line, humidityColumn, text, percent === null ? noHumidityNumber : overSaturated)
    return undefined
  }

  /** The lines as time runs: a file that begins with its newest reading is turned around. */
  private rising(parsed: Line[]): Line[] {
    let ups = 0
    for (const [nr, { time }] of parsed.entries()) {
      ups += Math.sign(time.localMs - (parsed[nr - 1]?.time.localMs ?? time.localMs))
    }
    if (ups >= 0) return parsed
    this.notes.push('The newest reading stands first; the file was read from its end.')
    return parsed.reverse()
  }

  private inTime(parsed: readonly Line[]): CsvReading[] {
    const readings: CsvReading[] = []
    for (const { line, time, centiC, humidityTenths } of parsed) {
      const before = readings.at(-1)
      const at = this.instantOf(time, line, before?.at ?? Number.NEGATIVE_INFINITY)
      if (at === null) continue
      const reading = { line, at, centiC, humidityTenths }
      if (at === before?.at) this.addDoubled(readings, reading)
      else if (at > this.options.now + AHEAD_MINUTES * MS_PER_MINUTE) {
        this.problem(line, this.layout.timeColumn, shown(at), inFuture)
      } else if (at < EARLIEST) this.problem(line, this.layout.timeColumn, shown(at), tooLongAgo)
      else if (before !== undefined && at < before.at) {
        this.problem(line, this.layout.timeColumn, shown(at), outOfOrder(before))
      } else readings.push(reading)
    }
    return readings
  }

  private instantOf(time: WrittenTime, line: number, after: number): number | null {
    if (time.offsetMs !== null) return time.localMs - time.offsetMs
    const found = this.clock.instants(time.localMs)
    if (found.how === 'once') return found.at
    if (found.how === 'never') {
      const text = new Date(time.localMs).toISOString().slice(0, 16).replace('T', ' ')
      return this.problem(line, this.layout.timeColumn, text, skippedHour(this.layout.zone))
    }
    this.changedHours += 1
    return found.early > after ? found.early : found.late
  }

  /** The warmer of two readings of one moment counts; the same reading twice is one. */
  private addDoubled(readings: CsvReading[], reading: CsvReading): void {
    this.doubled += 1
    const before = readings.at(-1)
    if (before !== undefined && reading.centiC > before.centiC) {
      readings[readings.length - 1] = reading
    }
  }

  private noteCounts(): void {
    const { changedHours, doubled, noHumidity } = this
    if (doubled > 0) {
      this.notes.push(`${doubled} lines repeat a moment; of each the warmer reading is taken.`)
    }
    if (changedHours > 0) {
      this.notes.push(
        `${changedHours} lines fall into the hour in which the clocks went back; they were told ` +
          'apart by their order.',
      )
    }
    if (noHumidity > 0) this.notes.push(`${noHumidity} lines have no humidity.`)
  }

  private problem(line: number, column: number, value: string, fault: Fault): null {
    this.problemCount += 1
    if (this.problems.length < LOGGER_PROBLEMS_LIMIT) {
      const name = this.names[column - 1] ?? ''
      this.problems.push({
        line,
        column: name === '' ? `column ${column}` : name,
        value: value.slice(0, 80),
        ...fault,
      })
    }
    return null
  }
}

const shown = (at: number) => `${new Date(at).toISOString().slice(0, 16).replace('T', ' ')} UTC`

const leaveOut = 'or leave such lines out'
const noTime: Fault = {
  message: 'This is no date and time in the order chosen.',
  remedy: `Choose another order of the date or another column, ${leaveOut}.`,
}
const noTemperature: Fault = {
  message: 'This is no temperature.',
  remedy: `Choose the column of the temperature and its decimal mark, ${leaveOut}.`,
}
const noSuchTemperature: Fault = {
  message: 'No place where wood lies is so cold or so warm (-60 to 90 °C).',
  remedy: `Choose the unit and the decimal mark, ${leaveOut}: the sensor may be broken.`,
}
const noHumidityNumber: Fault = {
  message: 'This is no humidity.',
  remedy: `Choose another column for the humidity, or none, ${leaveOut}.`,
}
const overSaturated: Fault = {
  message: 'Relative humidity lies between 0 and 100 %.',
  remedy: `Choose another column for the humidity, or none, ${leaveOut}.`,
}
const inFuture: Fault = {
  message: 'This reading lies in the future.',
  remedy: `Choose the time zone and the order of the date, set the logger’s clock, ${leaveOut}.`,
}
const tooLongAgo: Fault = {
  message: 'This reading lies before 1990.',
  remedy: `Choose the order of the date, set the logger’s clock, ${leaveOut}.`,
}
function outOfOrder(before: CsvReading): Fault {
  return {
    message: `It is earlier than line ${before.line} (${shown(before.at)}): out of order.`,
    remedy:
      'The logger’s clock was set back, or two files were joined. ' + `Part the file, ${leaveOut}.`,
  }
}
function skippedHour(zone: string): Fault {
  return {
    message: `This time did not exist in ${zone}: the clocks went forward over it.`,
    remedy: 'The logger keeps winter time all year: choose a fixed distance from UTC as its zone.',
  }
}
