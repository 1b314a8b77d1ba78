// The excursions of all places, and the lots whose wood lay there meanwhile.
import { sql } from 'kysely'
import type { ClimateRules } from '#trade/climate-sums.ts'
import type { Excursion } from '#trade/excursions.ts'
import { joinExcursions } from '#trade/excursions.ts'
import type { Database } from '../../db/connect.ts'
import { openClimateBook } from './climate-book.ts'
import { readLoggers } from './loggers.ts'
import type { Logger } from './loggers.ts'
import { placesWithin } from './places.ts'
import type { PlaceInTree } from './places.ts'

/** A lot that lay where an excursion was, while it was. */
export type TouchedLot = { lotId: string; reference: string }

/** One excursion of a place, as one logger tells of it, and the lots it touched. */
export type PlaceExcursion = Excursion & {
  placeId: string
  loggerId: string
  loggerName: string
  lots: TouchedLot[]
}

/** Most excursions that are listed. */
export const EXCURSION_LIMIT = 200

/** The excursions between two moments, the latest first, and whether there are more. */
export async function readExcursions(
  db: Database,
  rules: ClimateRules,
  places: PlaceInTree[],
  from: Date,
  to: Date,
): Promise<{ excursions: PlaceExcursion[]; more: boolean }> {
  const loggers = await readLoggers(db)
  const standings = loggers.flatMap((logger) => standingsIn(logger, from.getTime(), to.getTime()))
  const book = await openClimateBook(db, rules, standings)
  const found = standings
    .flatMap((standing) =>
      joinExcursions(book(standing).excursions).map((excursion) => ({ ...excursion, ...standing })),
    )
    .sort((one, other) => other.beganAt - one.beganAt)
  const shown = found.slice(0, EXCURSION_LIMIT)
  const lots = await readLotsAt(db, places, shown)
  const excursions = shown.map(
    ({ kind, beganAt, endedAt, peakTempC, placeId, loggerId, loggerName }, nr) => ({
      ...{ kind, beganAt, endedAt, peakTempC, placeId, loggerId, loggerName },
      lots: lots.get(nr) ?? [],
    }),
  )
  return { excursions, more: found.length > shown.length }
}

type StandingSpan = {
  loggerId: string
  loggerName: string
  placeId: string
  from: number
  to: number
}

function standingsIn(logger: Logger, from: number, to: number): StandingSpan[] {
  return logger.standings.flatMap(({ placeId, fromAt, untilAt }) => {
    const span = { from: Math.max(from, fromAt), to: Math.min(to, untilAt ?? to) }
    if (span.to <= span.from) return []
    return [{ loggerId: logger.loggerId, loggerName: logger.name, placeId, ...span }]
  })
}

type Asked = { placeId: string; beganAt: number; endedAt: number }

/** The lots with wood in a place, or inside it, at some time of each span; by the span's number. */
async function readLotsAt(
  db: Database,
  places: PlaceInTree[],
  asked: readonly Asked[],
): Promise<Map<number, TouchedLot[]>> {
  const within = asked.flatMap(({ placeId }, nr) =>
    [...placesWithin(places, placeId)].map((inner) => ({ nr, inner })),
  )
  if (within.length === 0) return new Map()
  const rows = await sql<{ nr: number; lot_id: string; reference: string }>`
    with asked as (
      select * from unnest(${asked.map((_, nr) => nr)}::int[],
        ${asked.map(({ beganAt }) => new Date(beganAt))}::timestamptz[],
        ${asked.map(({ endedAt }) => new Date(endedAt))}::timestamptz[]) as a(nr, began, ended)
    ), inside as (
      select * from unnest(${within.map(({ nr }) => nr)}::int[],
        ${within.map(({ inner }) => inner)}::uuid[]) as i(nr, place_id)
    ), lain as (
      select a.nr, m.lot_id,
        sum(m.count) filter (where m.occurred_at <= a.began) as at_beginning,
        bool_or(m.count > 0 and m.occurred_at > a.began and m.occurred_at <= a.ended) as came
      from asked a join inside i on i.nr = a.nr
      join movement m on m.account_kind = 'place' and m.account_id = i.place_id
        and m.occurred_at <= a.ended
      group by a.nr, m.lot_id
    )
    select l.nr, l.lot_id, f.reference from lain l join lot_first f on f.lot_id = l.lot_id
    where l.at_beginning > 0 or l.came
    order by l.nr, f.reference`.execute(db)
  const lots = new Map<number, TouchedLot[]>()
  for (const { nr, lot_id, reference } of rows.rows) {
    lots.set(nr, [...(lots.get(nr) ?? []), { lotId: lot_id, reference }])
  }
  return lots
}
