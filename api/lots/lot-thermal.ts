// Works out how warm each lot was kept, from the readings of every place that it lay in.
import { climateRulesOf } from '#trade/climate-policies.ts'
import type { ClimateFigures } from '#trade/climate-figures.ts'
import { addSums, NO_SUMS } from '#trade/climate-sums.ts'
import type { ClimateRules } from '#trade/climate-sums.ts'
import { joinExcursions, largestExcursion } from '#trade/excursions.ts'
import type { Excursion } from '#trade/excursions.ts'
import { MS_PER_DAY, MS_PER_HOUR } from '#trade/intervals.ts'
import type { KnownLotFacts, LotFacts } from '#trade/lot-facts.ts'
import type { RoomNow, ThermalFacts } from '#trade/thermal-facts.ts'
import type { Database } from '../../db/connect.ts'
import { readPolicies } from '../nursery/read.ts'
import { openClimateBook } from '../store/climate-book.ts'
import type { ClimateBook, LoggerSpan } from '../store/climate-book.ts'
import { readLoggers } from '../store/loggers.ts'
import { readLastReadings } from '../store/readings.ts'
import type { PlaceInTree } from '../store/places.ts'
import { PlaceLoggers } from '../store/place-loggers.ts'
import { thermalPieces } from './thermal-pieces.ts'
import type { LainLot, LainSpan, ThermalPiece } from './thermal-pieces.ts'

/**
 * The facts with what the readings say of every known lot in them. `tankOf` tells in which tank a
 * bath stands.
 */
export async function withThermal(
  db: Database,
  facts: Map<string, LotFacts>,
  places: readonly PlaceInTree[],
  tankOf: (bathId: string) => string | null,
  at: Date,
): Promise<Map<string, LotFacts>> {
  const known = [...facts.values()].flatMap((lot) => (lot.known ? [lot] : []))
  const lots = known.map((lot) => ({ ...lot, lain: lainOf(lot, tankOf) }))
  const thermal = await readLotThermal(db, lots, places, at)
  return new Map(
    [...facts].map(([lotId, lot]) => {
      return [lotId, lot.known ? { ...lot, thermal: thermal.get(lotId) ?? null } : lot]
    }),
  )
}

/** Where wood of a lot lay: its stays, and its soaks in the tanks that the baths stood in. */
export function lainOf(lot: KnownLotFacts, tankOf: (bathId: string) => string | null): LainSpan[] {
  const dry = lot.stays.map((stay): LainSpan => ({ ...stay, inWater: false }))
  const wet = lot.soaks.flatMap(({ bathId, beganAt, endedAt }): LainSpan[] => {
    const placeId = tankOf(bathId)
    return placeId === null ? [] : [{ placeId, inWater: true, beganAt, endedAt }]
  })
  return [...dry, ...wet]
}

/**
 * What the readings say of each lot up to `at`; null for a lot that no reading tells of. By the
 * policies in force at `at`. A constant number of queries, however many lots.
 */
export async function readLotThermal(
  db: Database,
  lots: readonly LainLot[],
  places: readonly PlaceInTree[],
  at: Date,
): Promise<Map<string, ThermalFacts | null>> {
  const warmth = await readLotWarmth(db, lots, places, at)
  return new Map([...warmth].map(([lotId, told]) => [lotId, told?.thermal ?? null]))
}

/** What the readings say of a lot, with every excursion and the pieces of time it was read from. */
export type LotWarmth = {
  thermal: ThermalFacts
  excursions: PlacedExcursion[]
  pieces: ChosenPiece[]
}

/** The same as `readLotThermal`, with all that it was worked out from. */
export async function readLotWarmth(
  db: Database,
  lots: readonly LainLot[],
  places: readonly PlaceInTree[],
  at: Date,
): Promise<Map<string, LotWarmth | null>> {
  const loggers = await readLoggers(db)
  if (loggers.length === 0) return new Map(lots.map(({ lotId }) => [lotId, null]))
  const { policies } = await readPolicies(db, at)
  const rules = climateRulesOf(policies)
  const standing = new PlaceLoggers(places, loggers)
  const last = await readLastReadings(
    db,
    loggers.map(({ loggerId }) => loggerId),
    at,
  )
  const pieces = new Map(lots.map((lot) => [lot.lotId, thermalPieces(lot, standing, at.getTime())]))
  const dayBefore = [...last].map(([loggerId, reading]): LoggerSpan => {
    return { loggerId, from: reading.at - MS_PER_DAY, to: reading.at }
  })
  const asked = [...pieces.values()].flat().flatMap((piece) => spansOf(piece))
  const book = await openClimateBook(db, rules, [...asked, ...dayBefore])
  return new Map(
    lots.map((lot) => {
      const told = factsOf(lot, pieces.get(lot.lotId) ?? [], { book, rules, at: at.getTime() })
      if (told === null) return [lot.lotId, null]
      const now = roomNow(lot, standing, { last, book, at: at.getTime() })
      return [lot.lotId, { ...told, thermal: { ...told.thermal, now } }]
    }),
  )
}

/** Every span that a piece asks the book for. */
export function spansOf({ from, to, groups }: ThermalPiece): LoggerSpan[] {
  return groups.flatMap(({ loggerIds }) => loggerIds.map((loggerId) => ({ loggerId, from, to })))
}

type Asked = { book: ClimateBook; rules: ClimateRules; at: number }

function factsOf(
  lot: LainLot,
  pieces: readonly ThermalPiece[],
  { book, rules, at }: Asked,
): LotWarmth | null {
  const found = pieces.flatMap((piece) => worstOf(piece, book) ?? [])
  if (found.every(({ figures }) => figures.lowestTempC === null)) return null
  const times = lot.lain.map(({ beganAt }) => beganAt)
  const fromAt = lot.cutAt ?? Math.min(...times)
  const excursions = joinedByPlace(found)
  const largest = largestExcursion(excursions)
  const lowest = found.flatMap(({ figures }) => figures.lowestTempC ?? [])
  const highest = found.flatMap(({ figures }) => figures.highestTempC ?? [])
  const thermal = {
    fromAt,
    toAt: at,
    rules,
    sums: found.reduce((sum, { figures }) => addSums(sum, figures.sums), NO_SUMS),
    lowestTempC: lowest.length === 0 ? null : Math.min(...lowest),
    highestTempC: highest.length === 0 ? null : Math.max(...highest),
    excursionCount: excursions.length,
    largest: excursions.find((excursion) => excursion === largest) ?? null,
    now: null,
  }
  return { thermal, excursions, pieces: found }
}

/** The logger by which a piece of a lot's time is judged, and what it says. */
export type ChosenPiece = {
  placeId: string
  loggerId: string
  from: number
  to: number
  figures: ClimateFigures
}

/**
 * Of wood that lay in several places at once, the place where it aged most, time without readings
 * counted by the calendar. Of several loggers in one place, the one that tells of the longest
 * time, and of two alike the one by which the wood is older.
 */
export function worstOf({ from, to, groups }: ThermalPiece, book: ClimateBook): ChosenPiece | null {
  let worst: (ChosenPiece & { days: number }) | null = null
  for (const { placeId, loggerIds } of groups) {
    let best: ChosenPiece | null = null
    for (const loggerId of loggerIds) {
      const figures = book({ loggerId, from, to })
      if (best !== null && !tellsMore(figures, best.figures)) continue
      best = { placeId, loggerId, from, to, figures }
    }
    if (best === null) continue
    const { sums } = best.figures
    const unmeasuredHours = (to - from) / MS_PER_HOUR - sums.measuredHours
    const days = sums.equivalentDays + unmeasuredHours / 24
    if (worst === null || days > worst.days) worst = { ...best, days }
  }
  return worst
}

function tellsMore(one: ClimateFigures, other: ClimateFigures): boolean {
  const more = one.sums.measuredHours - other.sums.measuredHours
  if (Math.abs(more) > 0.01) return more > 0
  return one.sums.equivalentDays > other.sums.equivalentDays
}

/** An excursion, and the place that it was in. */
export type PlacedExcursion = Excursion & { placeId: string }

function joinedByPlace(found: readonly ChosenPiece[]): PlacedExcursion[] {
  const byPlace = new Map<string, Excursion[]>()
  for (const { placeId, figures } of found) {
    byPlace.set(placeId, [...(byPlace.get(placeId) ?? []), ...figures.excursions])
  }
  return [...byPlace].flatMap(([placeId, pieces]) =>
    joinExcursions(pieces).map((excursion) => ({ ...excursion, placeId })),
  )
}

type NowAsked = { last: Map<string, { at: number; tempC: number; humidityPercent: number | null }> }

/** Of the rooms where wood of the lot lies now, the warmest by its last day. */
function roomNow(
  lot: LainLot,
  standing: PlaceLoggers,
  { last, book, at }: NowAsked & { book: ClimateBook; at: number },
): RoomNow | null {
  const rooms = lot.lain
    .filter(({ endedAt }) => endedAt === null)
    .flatMap(({ placeId, inWater }): RoomNow[] => {
      const loggerIds = standing.nearest(placeId, at, inWater)?.loggerIds ?? []
      return loggerIds.flatMap((loggerId): RoomNow[] => {
        const reading = last.get(loggerId)
        if (reading === undefined) return []
        const day = book({ loggerId, from: reading.at - MS_PER_DAY, to: reading.at })
        const { measuredHours, tempHours } = day.sums
        const meanOfDayC = measuredHours > 0 ? tempHours / measuredHours : reading.tempC
        const { tempC, humidityPercent } = reading
        return [{ placeId, readAt: reading.at, tempC, humidityPercent, meanOfDayC }]
      })
    })
  return rooms.reduce<RoomNow | null>(
    (warmest, room) => (warmest === null || room.meanOfDayC > warmest.meanOfDayC ? room : warmest),
    null,
  )
}
