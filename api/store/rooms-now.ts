// How it is in every place that has a logger: the last reading, its day, and where it fell silent.
import type { ClimateFigures } from '#trade/climate-figures.ts'
import type { ClimateRules, Reading } from '#trade/climate-sums.ts'
import { MS_PER_DAY } from '#trade/intervals.ts'
import type { Database } from '../../db/connect.ts'
import { openClimateBook } from './climate-book.ts'
import type { LoggerSpan } from './climate-book.ts'
import { placeAt, readLoggers } from './loggers.ts'
import { readLastReadings } from './readings.ts'

/** One logger that stands in a place now. */
export type RoomLogger = {
  loggerId: string
  loggerName: string
  placeId: string
  last: Reading | null
  /** Of the 24 hours before its last reading. */
  day: ClimateFigures | null
  /** Of the seven days before `at`. */
  week: ClimateFigures
}

/** Every logger that stands in some place at `at`, by name. A constant number of queries. */
export async function readRoomsNow(
  db: Database,
  rules: ClimateRules,
  at: Date,
): Promise<RoomLogger[]> {
  const now = at.getTime()
  const loggers = (await readLoggers(db)).flatMap((logger) => {
    const placeId = placeAt(logger, now)
    return placeId === null ? [] : [{ ...logger, placeId }]
  })
  const last = await readLastReadings(
    db,
    loggers.map(({ loggerId }) => loggerId),
    at,
  )
  const dayOf = (loggerId: string): LoggerSpan | null => {
    const reading = last.get(loggerId)
    return reading === undefined
      ? null
      : { loggerId, from: reading.at - MS_PER_DAY, to: reading.at }
  }
  const weekOf = (loggerId: string) => ({ loggerId, from: now - 7 * MS_PER_DAY, to: now })
  const spans = loggers.flatMap(({ loggerId }) => [weekOf(loggerId), dayOf(loggerId) ?? []])
  const book = await openClimateBook(db, rules, spans.flat())
  return loggers.map(({ loggerId, name, placeId }) => {
    const day = dayOf(loggerId)
    return {
      loggerId,
      loggerName: name,
      placeId,
      last: last.get(loggerId) ?? null,
      day: day === null ? null : book(day),
      week: book(weekOf(loggerId)),
    }
  })
}
