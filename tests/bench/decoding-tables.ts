// Turns counts of reads into the tables of docs/decoding.md.
import type { Fault } from '../scanner/frames/faults.ts'
import type { Tally } from './decoding-run.ts'

/** One contender over everything that is given. */
export interface Total {
  readonly name: string
  readonly sequences: number
  readonly readOnFirst: number
  readonly readAtAll: number
  readonly framesToRead: number
  readonly misreads: number
  readonly toldOneOfTwo: number
  readonly frames: number
  readonly processorMs: number
}

/** Contenders whose rates stand for each fault; the others stand in the list of attempts. */
const COMPARED = ['schedule', 'zxing-wasm', '@zxing/library', 'jsQR']

export function totals(tallies: readonly Tally[]): Total[] {
  return [...new Set(tallies.map(({ name }) => name))].map((name) => {
    const own = tallies.filter((one) => one.name === name)
    const sum = (of: (one: Tally) => number) => own.reduce((whole, one) => whole + of(one), 0)
    return {
      name,
      sequences: sum((one) => one.sequences),
      readOnFirst: sum((one) => one.readOnFirst),
      readAtAll: sum((one) => one.readAtAll),
      framesToRead: sum((one) => one.framesToRead),
      misreads: sum((one) => one.misreads),
      toldOneOfTwo: sum((one) => one.toldOneOfTwo),
      frames: sum((one) => one.frames),
      processorMs: sum((one) => one.processorMs),
    }
  })
}

/** Every fault on one line: read on the first frame, then within all frames. */
export function faultTable(tallies: readonly Tally[], frameCount: number): string {
  const faults = [...new Set(tallies.map(({ fault }) => fault))]
  const head = [
    '| fault | ' + COMPARED.map((name) => `${name}, first frame`).join(' | '),
    COMPARED.slice(0, 3)
      .map((name) => `${name}, ${frameCount} frames`)
      .join(' | ') + ' | schedule, frames to first read | schedule, misreads |',
  ].join(' | ')
  const rows = faults.map((fault) => faultRow(fault, tallies, fault))
  const columns = head.split('|').length - 3
  return [head, `|---|${'--:|'.repeat(columns)}`, ...rows, faultRow('**all**', tallies, null)].join(
    '\n',
  )
}

function faultRow(title: string, tallies: readonly Tally[], fault: Fault | null): string {
  const own = totals(tallies.filter((one) => fault === null || one.fault === fault))
  const of = (name: string) => own.find((one) => one.name === name)
  const first = COMPARED.map((name) => share(of(name)?.readOnFirst, of(name)?.sequences))
  const within = COMPARED.slice(0, 3).map((name) => share(of(name)?.readAtAll, of(name)?.sequences))
  const schedule = of('schedule')
  const frames =
    schedule === undefined || schedule.readAtAll === 0
      ? '–'
      : (schedule.framesToRead / schedule.readAtAll).toFixed(1)
  const misreads = String(schedule?.misreads ?? 0)
  return `| ${[title, ...first, ...within, frames, misreads].join(' | ')} |`
}

/** Of two tags in view, how often one was told as if it were alone. */
export function neighbourLine(tallies: readonly Tally[]): string {
  const own = totals(tallies.filter(({ fault }) => fault === 'neighbour'))
  const parts = COMPARED.map((name) => {
    const one = own.find((total) => total.name === name)
    return `${name} ${one?.toldOneOfTwo ?? 0} of ${one?.readAtAll ?? 0}`
  })
  return `With two tags in view, told one as if it were alone: ${parts.join(', ')}.`
}

/** Schedule and single decoders by level, on the first frame: where each fault becomes too much. */
export function levelTable(tallies: readonly Tally[]): string {
  const faults = [...new Set(tallies.map(({ fault }) => fault))]
  const levels = [...new Set(tallies.map(({ level }) => level))]
  const cell = (fault: Fault, level: number) => {
    const own = totals(tallies.filter((one) => one.fault === fault && one.level === level))
    const read = (name: string) => {
      const one = own.find((total) => total.name === name)
      return one === undefined ? '–' : `${one.readAtAll}`
    }
    const sequences = own[0]?.sequences ?? 0
    return `${COMPARED.slice(0, 3).map(read).join(' · ')} of ${sequences}`
  }
  return [
    `Sequences read, by level: ${COMPARED.slice(0, 3).join(' · ')}.`,
    '',
    `| fault | ${levels.map((level) => `level ${level}`).join(' | ')} |`,
    `|---|${'--:|'.repeat(levels.length)}`,
    ...faults.map((fault) => {
      return `| ${fault} | ${levels.map((level) => cell(fault, level)).join(' | ')} |`
    }),
  ].join('\n')
}

/** Every contender on the first frames alone, and what it costs. */
export function attemptTable(tallies: readonly Tally[]): string {
  return [
    'Every attempt alone, on first frames; the schedule reads by taking turns among them.',
    '',
    '| decoder or attempt | read | misreads | ms a frame |',
    '|---|--:|--:|--:|',
    ...totals(tallies).map((one) => {
      const cost = (one.processorMs / one.frames).toFixed(0)
      const read = share(one.readOnFirst, one.sequences)
      return `| ${one.name} | ${read} | ${one.misreads} | ${cost} |`
    }),
  ].join('\n')
}

function share(part = 0, whole = 0): string {
  return whole === 0 ? '–' : `${Math.round((100 * part) / whole)} %`
}
