// A person's language and units as one object: sentences, dates, ages, temperatures, lengths.
import type { Settings } from '../phone.ts'
import { localeOf, numberIn, say } from './say.ts'
import type { Fill, WordKey } from './say.ts'

const MS_PER_MINUTE = 60_000
const MM_PER_INCH = 25.4

/** Speaks to one person; made by {@link speakerOf}. */
export interface Speaker {
  readonly settings: Settings
  readonly locale: string
  /** The sentence of a key. */
  say<K extends WordKey>(key: K, ...fill: Fill<K>): string
  number(value: number, decimals?: number): string
  /** Date and time of an ISO text or of epoch milliseconds, by the phone's own time zone. */
  dateTime(when: string | number): string
  /** Time of day alone; the date as well when it is not today. */
  time(when: string | number, nowMs: number): string
  /** A whole length of time, in the two largest units: `2 h 5 min`, `3 days`. */
  span(ms: number): string
  /** A temperature in the person's unit, from degrees Celsius. */
  temp(tempC: number, decimals?: number): string
  /** A length in the person's unit, from millimetres. */
  length(lengthMm: number): string
  /** Degrees Celsius from a number in the person's unit. */
  tempCOf(shown: number): number
  /** Whole millimetres from a number in the person's unit. */
  lengthMmOf(shown: number): number
  /** Words joined with commas and `and`. */
  list(words: readonly string[]): string
}

const made = new WeakMap<Settings, Speaker>()

/** The speaker of these settings. */
export function speakerOf(settings: Settings): Speaker {
  const before = made.get(settings)
  if (before !== undefined) return before
  const speaker = makeSpeaker(settings)
  made.set(settings, speaker)
  return speaker
}

function makeSpeaker(settings: Settings): Speaker {
  const { language, tempUnit, lengthUnit } = settings
  const locale = localeOf(language)
  const fahrenheit = tempUnit === 'F'
  const inches = lengthUnit === 'in'
  return {
    settings,
    locale,
    say: (key, ...fill) => say(language, key, ...fill),
    number: (value, decimals = 0) => numberIn(locale, value, decimals),
    ...datesIn(locale),
    span: (ms) => spanIn(language, ms),
    temp: (tempC, decimals = 1) =>
      `${numberIn(locale, fahrenheit ? tempC * 1.8 + 32 : tempC, decimals)} °${tempUnit}`,
    length: (lengthMm) =>
      inches
        ? `${numberIn(locale, lengthMm / MM_PER_INCH, 1)} in`
        : `${numberIn(locale, lengthMm, 0)} mm`,
    tempCOf: (shown) => (fahrenheit ? (shown - 32) / 1.8 : shown),
    lengthMmOf: (shown) => Math.round(inches ? shown * MM_PER_INCH : shown),
    list: (words) => new Intl.ListFormat(locale, { type: 'conjunction' }).format(words),
  }
}

function datesIn(locale: string): Pick<Speaker, 'dateTime' | 'time'> {
  const full = new Intl.DateTimeFormat(locale, { dateStyle: 'medium', timeStyle: 'short' })
  const clock = new Intl.DateTimeFormat(locale, { timeStyle: 'short' })
  return {
    dateTime: (when) => full.format(new Date(when)),
    time: (when, nowMs) => {
      const date = new Date(when)
      const today = date.toDateString() === new Date(nowMs).toDateString()
      return (today ? clock : full).format(date)
    },
  }
}

function spanIn(language: Settings['language'], ms: number): string {
  const minutes = Math.max(0, Math.floor(ms / MS_PER_MINUTE))
  if (minutes < 1) return say(language, 'span.moment')
  const days = Math.floor(minutes / 1440)
  const hours = Math.floor((minutes % 1440) / 60)
  const rest = minutes % 60
  if (days >= 3) return say(language, 'span.days', { count: days })
  const allHours = days * 24 + hours
  if (allHours === 0) return say(language, 'span.minutes', { count: rest })
  if (rest === 0 || allHours >= 24) return say(language, 'span.hours', { count: allHours })
  return say(language, 'span.hoursMinutes', { hours: allHours, minutes: rest })
}
