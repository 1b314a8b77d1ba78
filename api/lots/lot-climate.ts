// What a lot's storage chart shows: its readings place by place, its age over time, its stays.
import { climateRulesOf } from '#trade/climate-policies.ts'
import type { Reading } from '#trade/climate-sums.ts'
import type { Excursion } from '#trade/excursions.ts'
import { MS_PER_DAY, MS_PER_HOUR } from '#trade/intervals.ts'
import type { KnownLotFacts } from '#trade/lot-facts.ts'
import { ReadingPrefix } from '#trade/reading-prefix.ts'
import type { Database } from '../../db/connect.ts'
import { readPolicies } from '../nursery/read.ts'
import { openClimateBook } from '../store/climate-book.ts'
import { readLoggers } from '../store/loggers.ts'
import { PlaceLoggers } from '../store/place-loggers.ts'
import { readPlaces } from '../store/places.ts'
import { readReadings } from '../store/readings.ts'
import { tanksOfBaths } from '../store/tanks.ts'
import { lainOf, spansOf, worstOf } from './lot-thermal.ts'
import type { ChosenPiece } from './lot-thermal.ts'
import { thermalPieces } from './thermal-pieces.ts'
import type { LainSpan } from './thermal-pieces.ts'

/** A moment and the age of the wood by then, in days at the set temperature. */
export type AgePoint = { at: number; ageDays: number }

export type LotClimate = {
  fromAt: number
  toAt: number
  lain: LainSpan[]
  /** The readings by which the wood was judged, piece by piece in order of time. */
  pieces: (ChosenPiece & { readings: Reading[] })[]
  excursions: (Excursion & { placeId: string; loggerId: string })[]
  age: AgePoint[]
}

/** How often the age is worked out for the curve. */
const AGE_STEP_MS = 12 * MS_PER_HOUR

/** The climate of a lot's time up to `at`. */
export async function readLotClimate(
  db: Database,
  lot: KnownLotFacts,
  at: Date,
): Promise<LotClimate> {
  const [loggers, places, tanks, { policies }] = await Promise.all([
    readLoggers(db),
    readPlaces(db),
    tanksOfBaths(
      db,
      lot.soaks.map(({ bathId }) => bathId),
    ),
    readPolicies(db, at),
  ])
  const rules = climateRulesOf(policies)
  const lain = lainOf(lot, (bathId) => tanks.get(bathId) ?? null)
  const toAt = at.getTime()
  const fromAt = lot.cutAt ?? lain.reduce((one, { beganAt }) => Math.min(one, beganAt), toAt)
  const cut = thermalPieces({ ...lot, lain }, new PlaceLoggers(places, loggers), toAt)
  const book = await openClimateBook(db, rules, cut.flatMap(spansOf))
  const chosen = cut.flatMap((piece) => worstOf(piece, book) ?? [])
  const pieces = await Promise.all(
    chosen.map(async (piece) => {
      const { loggerId, from, to } = piece
      return { ...piece, readings: await readReadings(db, loggerId, from, to) }
    }),
  )
  const prefixes = pieces.map(({ readings }) => new ReadingPrefix(readings, rules))
  const age: AgePoint[] = []
  for (let time = fromAt; time < toAt; time += AGE_STEP_MS) age.push(ageAt(time))
  age.push(ageAt(toAt))
  const excursions = chosen.flatMap(({ placeId, loggerId, figures }) =>
    figures.excursions.map((excursion) => ({ ...excursion, placeId, loggerId })),
  )
  return { fromAt, toAt, lain, pieces, excursions, age }

  function ageAt(time: number): AgePoint {
    let days = 0
    let measuredHours = 0
    for (const [nr, prefix] of prefixes.entries()) {
      const piece = pieces[nr]
      if (piece === undefined || piece.from >= time) continue
      const sums = prefix.between(piece.from, Math.min(piece.to, time))
      days += sums.equivalentDays
      measuredHours += sums.measuredHours
    }
    return { at: time, ageDays: days + (time - fromAt) / MS_PER_DAY - measuredHours / 24 }
  }
}
