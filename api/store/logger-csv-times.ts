// Reads the dates and times that loggers write, and places local times on the line of time.
import { Temporal } from 'temporal-polyfill'
import type { LoggerLayoutShape } from '#wire/kinds/climate.ts'
import { MS_PER_DAY, MS_PER_HOUR, MS_PER_MINUTE } from '#trade/intervals.ts'

export type DateOrder = LoggerLayoutShape['dateOrder']

/** A time as written: local milliseconds as if it were UTC, and its offset where it names one. */
export type WrittenTime = { localMs: number; offsetMs: number | null }

const datePattern = /^(\d{1,4})[-./](\d{1,2})[-./](\d{1,4})$/
const clockPattern =
  /^(\d{1,2}):(\d{2})(?::(\d{2})(?:[.,]\d+)?)?\s*([ap])?\.?m?\.?\s*(Z|UTC|[+-]\d{2}:?\d{2})?$/i

/** The three numbers of a date as they stand; null when it is none. */
export function dateParts(text: string): [string, string, string] | null {
  const match = datePattern.exec(text)
  if (match === null) return null
  const [, one = '', two = '', three = ''] = match
  return [one, two, three]
}

/** A date and a time of day in one text, parted; the time may be missing. */
export function partDateTime(text: string): { date: string; clock: string } {
  const match = /^(\S+?)(?:T|,?\s+)(\d{1,2}:.*)$/.exec(text)
  if (match === null) return { date: text, clock: '' }
  return { date: match[1] ?? '', clock: match[2] ?? '' }
}

/** Reads a date in this order and a time of day; null when they are no date and time. */
export function readTime(date: string, clock: string, order: DateOrder): WrittenTime | null {
  const parts = dateParts(date)
  const match = clockPattern.exec(clock)
  if (parts === null || match === null) return null
  const day = dayOf(parts, order)
  const time = timeOfDay(match)
  if (day === null || time === null) return null
  return { localMs: day + time, offsetMs: offsetOf(match[5]) }
}

function dayOf(parts: readonly [string, string, string], order: DateOrder): number | null {
  const [one, two, three] = parts
  const isYearFirst = order === 'year month day'
  if (isYearFirst !== (one.length === 4)) return null
  const numbers = {
    'year month day': [one, two, three],
    'day month year': [three, two, one],
    'month day year': [three, one, two],
  }[order]
  const [year = 0, month = 0, day = 0] = numbers.map(Number)
  const fullYear = year < 100 ? 2000 + year : year
  const at = Date.UTC(fullYear, month - 1, day)
  const isReal = new Date(at).getUTCMonth() === month - 1 && month >= 1 && month <= 12
  return isReal && fullYear >= 1900 ? at : null
}

function timeOfDay(match: RegExpExecArray): number | null {
  const [, hourText = '', minuteText = '', secondText = '0', half] = match
  const [hour, minute, second] = [Number(hourText), Number(minuteText), Number(secondText)]
  if (minute > 59 || second > 59 || hour > 23) return null
  if (half !== undefined && (hour < 1 || hour > 12)) return null
  const afternoon = half?.toLowerCase() === 'p'
  const hours = half === undefined ? hour : (hour % 12) + (afternoon ? 12 : 0)
  return hours * MS_PER_HOUR + minute * MS_PER_MINUTE + second * 1000
}

function offsetOf(text: string | undefined): number | null {
  if (text === undefined) return null
  if (/^(Z|UTC)$/i.test(text)) return 0
  const sign = text.startsWith('-') ? -1 : 1
  const digits = text.replace(/[^\d]/g, '')
  return sign * (Number(digits.slice(0, 2)) * 60 + Number(digits.slice(2))) * MS_PER_MINUTE
}

/** Where a local time falls: once, twice (the clocks went back), or never (they went forward). */
export type Instants =
  { how: 'once'; at: number } | { how: 'twice'; early: number; late: number } | { how: 'never' }

/** Places local times of one zone in time; a day is looked up once, for there are many readings. */
export class ZoneClock {
  private readonly zone: string
  private readonly days = new Map<number, number | null>()

  /** @throws RangeError for a zone that this machine does not know */
  constructor(zone: string) {
    this.zone = zone
    Temporal.Instant.fromEpochMilliseconds(0).toZonedDateTimeISO(zone)
  }

  /** The instants of a local time, given as milliseconds as if it were UTC. */
  instants(localMs: number): Instants {
    const day = Math.floor(localMs / MS_PER_DAY)
    let offset = this.days.get(day)
    if (offset === undefined) {
      offset = this.offsetOfDay(day)
      this.days.set(day, offset)
    }
    return offset === null ? this.byHand(localMs) : { how: 'once', at: localMs - offset }
  }

  /** The one offset of a day; null for a day on which the clocks change. */
  private offsetOfDay(day: number): number | null {
    const first = this.zoned(day * MS_PER_DAY, 'earlier').offsetNanoseconds
    const last = this.zoned((day + 1) * MS_PER_DAY - 1, 'later').offsetNanoseconds
    return first === last ? first / 1e6 : null
  }

  private byHand(localMs: number): Instants {
    const early = this.zoned(localMs, 'earlier')
    const late = this.zoned(localMs, 'later')
    if (early.epochMilliseconds === late.epochMilliseconds) {
      return { how: 'once', at: early.epochMilliseconds }
    }
    const isWritten = early.toPlainDateTime().equals(plain(localMs))
    if (!isWritten) return { how: 'never' }
    return { how: 'twice', early: early.epochMilliseconds, late: late.epochMilliseconds }
  }

  private zoned(localMs: number, disambiguation: 'earlier' | 'later') {
    return plain(localMs).toZonedDateTime(this.zone, { disambiguation })
  }
}

function plain(localMs: number): Temporal.PlainDateTime {
  return Temporal.PlainDateTime.from(new Date(localMs).toISOString().slice(0, 23))
}
