// Logger files of many layouts, and everything that can be wrong in one, named by its line.
import { describe, expect, it } from 'vitest'
import { flagsOf } from '#trade/reading-flags.ts'
import type { LoggerLayoutShape } from '#wire/kinds/climate.ts'
import { parseLoggerCsv } from '../../api/store/logger-csv.ts'
import type { LoggerCsvOptions } from '../../api/store/logger-csv-types.ts'

const now = Date.UTC(2027, 5, 1)
const plain: LoggerCsvOptions = {
  ...{ layout: null, zone: 'Europe/Zurich', now, warmIsRight: false, leaveOut: false },
}

function read(text: string, options: Partial<LoggerCsvOptions> = {}) {
  return parseLoggerCsv(new TextEncoder().encode(text), { ...plain, ...options })
}

/** Reads again with a part of the guessed layout corrected. */
function corrected(text: string, layout: Partial<LoggerLayoutShape>) {
  const guess = read(text).layout
  if (guess === null) throw new Error('nothing was guessed')
  return read(text, { layout: { ...guess, ...layout } })
}

const firstOf = (result: ReturnType<typeof read>) => {
  const [reading] = result.readings
  const at = reading === undefined ? '' : new Date(reading.at).toISOString()
  return [at, reading?.centiC, reading?.humidityTenths]
}

describe('the layout of a file is guessed', () => {
  it.each([
    [
      'commas and points, year first, no heading',
      '2027-01-05 13:00:00,4.25,88.1\n2027-01-05 13:05:00,4.3,88\n',
      ['2027-01-05T12:00:00.000Z', 425, 881],
    ],
    [
      'semicolons and decimal commas, day first, with lines above',
      'Device report\nRoom;Two\n\nNr;Datum;Zeit;Temp. [°C];Feuchte [%]\n' +
        '1;25.01.2027;13:00;4,25;88,1\n2;25.01.2027;13:05;4,3;88,0\n3;25.01.2027;13:10;4,3;88,0\n',
      ['2027-01-25T12:00:00.000Z', 425, 881],
    ],
    [
      'tabs, month first, twelve-hour clock, Fahrenheit',
      'Date Time\tTemp °F\tRH %\n1/25/2027 1:00:00 PM\t39.65\t88.1\n1/25/2027 1:05:00 PM\t40\t88\n',
      ['2027-01-25T12:00:00.000Z', 425, 881],
    ],
    [
      'a time with its offset, humidity before temperature',
      '"when","rh %","temp"\n"2027-01-05T13:00:00+01:00","88.1","4.25"\n' +
        '"2027-01-05T13:05:00+01:00","88.1","4.25"\n',
      ['2027-01-05T12:00:00.000Z', 425, 881],
    ],
    [
      'a decimal comma in quotes between commas, and no humidity',
      'time,temperature\n"05/01/2027 23:55","4,25"\n"06/01/2027 00:00","4,3"\n',
      ['2027-01-05T22:55:00.000Z', 425, null],
    ],
    [
      'a byte order mark and a two-figure year',
      '\uFEFFTime;Temp\n25.01.27 13:00;4,25\n25.01.27 13:05;4,25\n',
      ['2027-01-25T12:00:00.000Z', 425, null],
    ],
  ])('%s', (_what, text, expected) => {
    const result = read(text)
    expect(result.problems).toEqual([])
    expect(firstOf(result)).toEqual(expected)
  })

  it('and corrected where two are possible: the guess says that it is unsure', () => {
    const text = 'time;temp\n03.02.2027 10:00;4\n03.02.2027 10:05;4\n'
    expect(read(text).notes.join()).toMatch(/day before month or month before day/)
    expect(firstOf(read(text))[0]).toBe('2027-02-03T09:00:00.000Z')
    const other = corrected(text, { dateOrder: 'month day year', zone: 'UTC' })
    expect(firstOf(other)[0]).toBe('2027-03-02T10:00:00.000Z')
  })

  it('a file that begins with its newest reading is read from its end', () => {
    const result = read('2027-01-05 13:10,4.4\n2027-01-05 13:05,4.3\n2027-01-05 13:00,4.2\n')
    expect(result.readings.map(({ line, centiC }) => [line, centiC])).toEqual([
      [3, 420],
      [2, 430],
      [1, 440],
    ])
  })
})

describe('the hours in which the clocks change', () => {
  const at = (result: ReturnType<typeof read>) =>
    result.readings.map((reading) => new Date(reading.at).toISOString().slice(11, 16))

  it('going back are told apart by their order', () => {
    const hours = ['02:00', '02:30', '02:00', '02:30', '03:00']
    const text = hours.map((hour) => `2026-10-25 ${hour},4.0`).join('\n')
    expect(at(read(text))).toEqual(['00:00', '00:30', '01:00', '01:30', '02:00'])
    expect(read(text).notes.join()).toMatch(/4 lines fall into the hour/)
  })

  it('going forward do not exist: a fixed distance from UTC is the remedy', () => {
    const text = '2027-03-28 01:30,4\n2027-03-28 02:30,4\n2027-03-28 03:30,4\n'
    const [problem] = read(text).problems
    expect(problem).toMatchObject({ line: 2, value: '2027-03-28 02:30' })
    expect(problem?.remedy).toMatch(/fixed distance from UTC/)
    const fixed = corrected(text, { zone: '+01:00' })
    expect([fixed.problems, at(fixed)]).toEqual([[], ['00:30', '01:30', '02:30']])
  })
})

describe('what cannot be used is named by its line', () => {
  const good = '2027-01-05 13:00,4.0,90\n2027-01-05 13:05,4.0,90\n2027-01-05 13:10,4.0,90\n'
  const file = (line: string) => `time,temp,rh %\n${good}${line}\n`

  it.each([
    ['out of order', '2027-01-05 12:00,4.0,90', 'time', /earlier than line 4 .*out of order/],
    ['in the future', '2027-07-05 13:00,4.0,90', 'time', /in the future/],
    ['no temperature', '2027-01-05 13:15,warm,90', 'temp', /no temperature/],
    ['no such temperature', '2027-01-05 13:15,125,90', 'temp', /so warm/],
    ['humidity over 100', '2027-01-05 13:15,4.0,100.4', 'rh %', /between 0 and 100 %/],
    ['no time', 'yesterday,4.0,90', 'time', /no date and time/],
    ['a broken line', '2027-01-', 'time', /no date and time/],
  ])('%s', (_what, line, column, message) => {
    const result = read(file(line))
    expect(result.problems).toHaveLength(1)
    expect(result.problems[0]).toMatchObject({ line: 5, column })
    expect(result.problems[0]?.message).toMatch(message)
    expect(result.problems[0]?.remedy).toMatch(/leave such lines out/)
    const without = read(file(line), { leaveOut: true })
    expect([without.problems, without.leftOut, without.readings.length]).toEqual([[], 1, 3])
  })

  it('a room at 36 "°C" is doubted, and right when the unit is °F or a person says so', () => {
    const text = 'time,temp\n2027-01-05 13:00,36.1\n2027-01-05 13:05,36.0\n'
    expect(read(text).fileProblem).toBe(true)
    expect(read(text).problems[0]).toMatchObject({ line: 2, value: '36.1 °C' })
    expect(read(text).problems[0]?.remedy).toMatch(/Choose °F/)
    expect(corrected(text, { unit: 'F' }).readings[0]?.centiC).toBe(228)
    expect(read(text, { warmIsRight: true }).problems).toEqual([])
  })

  it('two loggers in one file are told apart by their names or by a second heading', () => {
    const named = read(
      'time,serial,temp\n2027-01-05 13:00,A7,4\n2027-01-05 13:05,A7,4\n2027-01-05 13:00,B9,5\n',
    )
    expect(named.problems.find(({ line }) => line === 4)?.message).toMatch(/A7 above, B9/)
    expect(named.fileProblem).toBe(true)
    const joined = read(`time,temp\n${good.replaceAll(',90', '')}time,temp\n2027-01-06 13:00,4\n`)
    expect(joined.problems[0]).toMatchObject({ line: 5 })
    expect(joined.problems[0]?.message).toMatch(/two exports were joined/)
  })

  it('repeated moments are one reading, the warmer, and counted', () => {
    const result = read('2027-01-05 13:00,4.0\n2027-01-05 13:00,4.5\n2027-01-05 13:05,4\n')
    expect(result.readings.map(({ centiC }) => centiC)).toEqual([450, 400])
    expect(result.notes.join()).toMatch(/1 lines repeat a moment/)
  })

  it.each([
    ['nothing', '', /empty/],
    ['no readings', 'shopping list\nbread\nmilk\n', /No line of the file/],
    ['a spreadsheet', 'PK\u0003\u0004', /not a CSV file/],
  ])('a file with %s in it is refused as a whole', (_what, text, message) => {
    const result = read(text)
    expect([result.readings, result.fileProblem]).toEqual([[], true])
    expect(result.problems[0]?.message).toMatch(message)
  })

  it('three million lines are refused with the limit, before a line is read', () => {
    const line = 'x'.repeat(2)
    const many = read(`${line}\n`.repeat(600_000))
    expect(many.problems[0]?.message).toMatch(/600000 lines; at most 450000/)
    const large = parseLoggerCsv(new Uint8Array(90 * 1024 * 1024).fill(49), plain)
    expect(large.problems[0]?.message).toMatch(/90.0 MB; at most 8 MB/)
  })
})

describe('readings that look wrong are flagged and left as they are', () => {
  const from = Date.UTC(2027, 0, 5)
  const every = (minutes: number, temps: readonly number[]) =>
    temps.map((tempC, nr) => ({ at: from + nr * minutes * 60_000, tempC, humidityPercent: null }))
  const codes = (readings: ReturnType<typeof every>) =>
    flagsOf(readings, 60).map(({ code }) => code)

  it('a gap, a stuck sensor, a spike and a shifted clock', () => {
    const wave = Array.from({ length: 300 }, (_, nr) => 4 + (nr % 7) / 10)
    expect(codes(every(10, wave))).toEqual([])
    expect(codes(every(61, [4, 4.1]))).toEqual(['gap'])
    expect(codes(every(10, Array<number>(145).fill(4)))).toEqual(['stuck'])
    expect(codes(every(10, Array<number>(144).fill(4)))).toEqual([])
    expect(codes(every(10, [4, 4.2, 19, 4.1, 4]))).toEqual(['spike'])
    expect(codes(every(10, [4, 10.5, 15, 10.5, 4]))).toEqual([])
    const shifted = every(10, wave).map((one, nr) =>
      nr < 50 ? one : { ...one, at: one.at + 420_000 },
    )
    expect(codes(shifted)).toEqual(['clock_shift'])
  })
})
