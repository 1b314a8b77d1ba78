// What readings say of any span of time, from sums kept for each day and two part days at its ends.
import { createHash } from 'node:crypto'
import { sql } from 'kysely'
import { NO_FIGURES, figuresOf } from '#trade/climate-figures.ts'
import type { ClimateFigures } from '#trade/climate-figures.ts'
import { SUM_NAMES, sumsFrom } from '#trade/climate-sums.ts'
import type { ClimateRules } from '#trade/climate-sums.ts'
import { joinExcursions } from '#trade/excursions.ts'
import { MS_PER_DAY, MS_PER_MINUTE } from '#trade/intervals.ts'
import type { Database } from '../../db/connect.ts'
import { keepDays, readKeptDays } from './climate-days.ts'
import type { DayFigures, LoggerDay } from './climate-days.ts'
import { mergeLogs } from './readings.ts'
import type { LogRow } from './readings.ts'

/** A span of one logger's time (epoch milliseconds). */
export type LoggerSpan = { loggerId: string; from: number; to: number }

/** Raised when the way in which a day is summed changes, so that no old row is used. */
const SUMMING_VERSION = 1

/** Asks what the readings of a span say; only spans that the book was opened for. */
export type ClimateBook = (span: LoggerSpan) => ClimateFigures

/**
 * Opens the book for these spans, in at most four queries however many they are: which entries
 * tell of which days, the days summed before, and readings where a day was never summed or a span
 * covers only a part of it. Days newly summed are kept. The figures of a span are the same whatever
 * is kept: a kept day names the entries and rules it was worked out from.
 */
export async function openClimateBook(
  db: Database,
  rules: ClimateRules,
  spans: readonly LoggerSpan[],
): Promise<ClimateBook> {
  const asked = spans.filter(({ from, to }) => to > from)
  const days = await readDaysTold(db, rules, asked)
  const wanted = wantedOf(asked, days)
  const rulesKey = keyOf([SUMMING_VERSION, ...Object.values(rules), ...SUM_NAMES].map(String))
  const kept = await readKeptDays(db, rulesKey, wanted.wholeDays)
  const fresh = wanted.wholeDays.filter((day) => !kept.has(day.key))
  const worked = await workOut(db, rules, fresh, wanted.parts)
  await keepDays(db, rulesKey, worked.days)
  for (const day of worked.days) kept.set(day.key, day.figures)
  const running = runningSums(wanted.wholeDays, kept)
  return (span) => figuresOfSpan(span, running, worked.parts)
}

type TellRow = { logger_id: string; entry_id: string; first_at: Date; last_at: Date }

/** For each logger and day, the entries with readings on it or within a gap of it. */
async function readDaysTold(
  db: Database,
  rules: ClimateRules,
  spans: readonly LoggerSpan[],
): Promise<Map<string, LoggerDay>> {
  const days = new Map<string, LoggerDay>()
  if (spans.length === 0) return days
  const gapMs = rules.maxGapMinutes * MS_PER_MINUTE
  const ids = [...new Set(spans.map(({ loggerId }) => loggerId))]
  const from = spans.reduce((least, span) => Math.min(least, span.from), Infinity)
  const to = spans.reduce((most, span) => Math.max(most, span.to), -Infinity)
  const rows = await sql<TellRow>`
    select logger_id, entry_id, first_at, last_at from temperature_log
    where logger_id = any(${ids}::uuid[]) and last_at >= ${new Date(from - gapMs - MS_PER_DAY)}
      and first_at <= ${new Date(to + gapMs + MS_PER_DAY)}
    order by entry_id`.execute(db)
  for (const row of rows.rows) {
    const first = Math.floor((row.first_at.getTime() - gapMs) / MS_PER_DAY)
    const last = Math.floor((row.last_at.getTime() + gapMs) / MS_PER_DAY)
    for (let day = first; day <= last; day += 1) {
      const key = dayKey(row.logger_id, day)
      const told = days.get(key)
      if (told !== undefined) told.entryIds.push(row.entry_id)
      else {
        const entryIds = [row.entry_id]
        days.set(key, { key, loggerId: row.logger_id, day, entryIds, contentKey: '' })
      }
    }
  }
  for (const day of days.values()) day.contentKey = keyOf(day.entryIds)
  return days
}

const dayKey = (loggerId: string, day: number) => `${loggerId} ${day}`
const partKey = (day: string, from: number, to: number) => `${day} ${from} ${to}`

function keyOf(parts: readonly string[]): string {
  return createHash('sha256').update(parts.join('\n')).digest('hex')
}

/** A part of a day that a span begins or ends in. */
type Part = { key: string; day: LoggerDay; from: number; to: number }

function wantedOf(spans: readonly LoggerSpan[], days: Map<string, LoggerDay>) {
  const whole = new Map<string, LoggerDay>()
  const parts = new Map<string, Part>()
  for (const span of spans) {
    for (const { day, from, to } of cutIntoDays(span)) {
      const told = days.get(dayKey(span.loggerId, day))
      if (told === undefined) continue
      if (to - from === MS_PER_DAY) whole.set(told.key, told)
      else {
        const key = partKey(told.key, from, to)
        parts.set(key, { key, day: told, from, to })
      }
    }
  }
  return { wholeDays: [...whole.values()], parts: [...parts.values()] }
}

function cutIntoDays({ from, to }: LoggerSpan): { day: number; from: number; to: number }[] {
  const pieces: { day: number; from: number; to: number }[] = []
  for (let at = from; at < to;) {
    const day = Math.floor(at / MS_PER_DAY)
    const end = Math.min(to, (day + 1) * MS_PER_DAY)
    pieces.push({ day, from: at, to: end })
    at = end
  }
  return pieces
}

/** Sums what was not kept, one day at a time, so that no more than a day's sums are in memory. */
async function workOut(
  db: Database,
  rules: ClimateRules,
  fresh: readonly LoggerDay[],
  parts: readonly Part[],
): Promise<{ days: DayFigures[]; parts: Map<string, ClimateFigures> }> {
  const result = { days: [] as DayFigures[], parts: new Map<string, ClimateFigures>() }
  const needed = new Map([...fresh, ...parts.map(({ day }) => day)].map((day) => [day.key, day]))
  const isFresh = new Set(fresh.map(({ key }) => key))
  const partsOf = grouped(parts, ({ day }) => day.key)
  const logs = await readLogs(db, [...needed.values()])
  const gapMs = rules.maxGapMinutes * MS_PER_MINUTE
  for (const day of needed.values()) {
    const from = day.day * MS_PER_DAY
    const to = from + MS_PER_DAY
    const rows = day.entryIds.flatMap((id) => logs.get(id) ?? [])
    const readings = mergeLogs(rows, from - gapMs, to + gapMs)
    const own = partsOf.get(day.key) ?? []
    const spans = [...own, ...(isFresh.has(day.key) ? [{ from, to }] : [])]
    const figures = figuresOf(readings, rules, spans)
    for (const [nr, part] of own.entries()) result.parts.set(part.key, figures[nr] ?? NO_FIGURES)
    const last = figures.at(-1)
    if (isFresh.has(day.key) && last !== undefined) result.days.push({ ...day, figures: last })
  }
  return result
}

async function readLogs(db: Database, days: readonly LoggerDay[]): Promise<Map<string, LogRow>> {
  const ids = [...new Set(days.flatMap(({ entryIds }) => entryIds))]
  if (ids.length === 0) return new Map()
  const rows = await sql<LogRow>`
    select logger_id, entry_id, first_at, seconds, centi_c, humidity_tenths from temperature_log
    where entry_id = any(${ids}::uuid[])`.execute(db)
  return new Map(rows.rows.map((row) => [row.entry_id, row]))
}

/** One logger's days in order, each with the sums of all days before it. */
type Running = { days: { day: number; figures: ClimateFigures; before: number[] }[] }

function runningSums(
  wholeDays: readonly LoggerDay[],
  kept: Map<string, ClimateFigures>,
): Map<string, Running> {
  const running = new Map<string, Running>()
  for (const [loggerId, own] of grouped(wholeDays, (day) => day.loggerId)) {
    let before = SUM_NAMES.map(() => 0)
    const days = own
      .toSorted((one, other) => one.day - other.day)
      .map(({ key, day }) => {
        const figures = kept.get(key) ?? NO_FIGURES
        const line = { day, figures, before }
        before = before.map((sum, nr) => sum + valueOf(figures, nr))
        return line
      })
    const end = { day: Number.POSITIVE_INFINITY, figures: NO_FIGURES, before }
    running.set(loggerId, { days: [...days, end] })
  }
  return running
}

function valueOf(figures: ClimateFigures, nr: number): number {
  const name = SUM_NAMES[nr]
  return name === undefined ? 0 : figures.sums[name]
}

function figuresOfSpan(
  span: LoggerSpan,
  running: Map<string, Running>,
  parts: Map<string, ClimateFigures>,
): ClimateFigures {
  const pieces: ClimateFigures[] = []
  if (span.to <= span.from) return NO_FIGURES
  const firstWhole = Math.ceil(span.from / MS_PER_DAY)
  const lastWhole = Math.floor(span.to / MS_PER_DAY)
  const ends = new Set([Math.floor(span.from / MS_PER_DAY), lastWhole])
  for (const day of ends) {
    const from = Math.max(span.from, day * MS_PER_DAY)
    const to = Math.min(span.to, (day + 1) * MS_PER_DAY)
    const part = parts.get(partKey(dayKey(span.loggerId, day), from, to))
    if (part !== undefined && to - from < MS_PER_DAY) pieces.push(part)
  }
  const { days } = running.get(span.loggerId) ?? { days: [] }
  const first = placeOf(days, firstWhole)
  const end = placeOf(days, lastWhole)
  if (end > first) {
    const early = days[first]?.before ?? []
    const late = days[end]?.before ?? []
    const sums = sumsFrom(late.map((sum, nr) => sum - (early[nr] ?? 0)))
    pieces.push({ ...NO_FIGURES, sums }, ...days.slice(first, end).map(withoutSums))
  }
  return together(pieces)
}

const withoutSums = ({ figures }: { figures: ClimateFigures }): ClimateFigures => {
  return { ...figures, sums: NO_FIGURES.sums }
}

/** The place of the first day that is not before `day`. */
function placeOf(days: Running['days'], day: number): number {
  let low = 0
  let high = days.length
  while (low < high) {
    const middle = (low + high) >> 1
    if ((days[middle]?.day ?? Number.POSITIVE_INFINITY) < day) low = middle + 1
    else high = middle
  }
  return low
}

/** Many figures as one; sums are added once, for there are few that have any. */
function together(pieces: readonly ClimateFigures[]): ClimateFigures {
  const values = SUM_NAMES.map(() => 0)
  let lowestTempC: number | null = null
  let highestTempC: number | null = null
  for (const piece of pieces) {
    if (piece.sums !== NO_FIGURES.sums) {
      for (const [nr] of SUM_NAMES.entries()) values[nr] = (values[nr] ?? 0) + valueOf(piece, nr)
    }
    const { lowestTempC: low, highestTempC: high } = piece
    if (low !== null) lowestTempC = Math.min(lowestTempC ?? low, low)
    if (high !== null) highestTempC = Math.max(highestTempC ?? high, high)
  }
  const excursions = joinExcursions(pieces.flatMap((piece) => piece.excursions))
  return { sums: sumsFrom(values), lowestTempC, highestTempC, excursions }
}

function grouped<T>(things: readonly T[], keyOfThing: (thing: T) => string): Map<string, T[]> {
  const groups = new Map<string, T[]>()
  for (const thing of things) {
    const key = keyOfThing(thing)
    const group = groups.get(key)
    if (group === undefined) groups.set(key, [thing])
    else group.push(thing)
  }
  return groups
}
