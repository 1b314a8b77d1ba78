// Turns readings into entries, a day in each, leaving out what is recorded already.
import type { Transaction } from 'kysely'
import type { EntryBody } from '#wire/entry.ts'
import { READINGS_LIMIT } from '#wire/kinds/climate.ts'
import { MS_PER_DAY } from '#trade/intervals.ts'
import type { Database } from '../../db/connect.ts'
import type { Tables } from '../../db/tables.ts'
import { readReadings } from './readings.ts'

/** A reading on its way into the journal; `at` in epoch milliseconds, whole seconds. */
export type NewReading = { at: number; centiC: number; humidityTenths: number | null }

/** What is new among readings, and what is there already, alike or with another value. */
export type Compared = { fresh: NewReading[]; known: number; differing: NewReading[] }

/**
 * Compares readings, in order of time, with those recorded of the same logger. One that differs
 * from what is recorded is fresh as well: both are kept, and the warmer counts.
 */
export async function compareReadings(
  db: Database | Transaction<Tables>,
  loggerId: string,
  readings: readonly NewReading[],
): Promise<Compared> {
  const [first, last] = [readings[0], readings.at(-1)]
  if (first === undefined || last === undefined) return { fresh: [], known: 0, differing: [] }
  const recorded = await readReadings(db, loggerId, first.at, last.at)
  const centiAt = new Map(recorded.map(({ at, tempC }) => [at, Math.round(tempC * 100)]))
  const compared: Compared = { fresh: [], known: 0, differing: [] }
  for (const reading of readings) {
    const before = centiAt.get(reading.at)
    if (before === reading.centiC) compared.known += 1
    else {
      compared.fresh.push(reading)
      if (before !== undefined) compared.differing.push(reading)
    }
  }
  return compared
}

/** The bodies of entries for readings in order of time: one for each day (UTC), more when full. */
export function readingBodies(
  loggerId: string,
  readings: readonly NewReading[],
  leftOut = 0,
): EntryBody<'temperature.logged'>[] {
  const days = new Map<number, NewReading[]>()
  for (const reading of readings) {
    const day = Math.floor(reading.at / MS_PER_DAY)
    const own = days.get(day)
    if (own === undefined) days.set(day, [reading])
    else own.push(reading)
  }
  const bodies = [...days.values()].flatMap((own) => partsOf(own).map((part) => bodyOf(part)))
  return bodies.map((body, nr) => ({ loggerId, ...body, leftOut: nr === 0 ? leftOut : 0 }))
}

function partsOf(readings: readonly NewReading[]): NewReading[][] {
  const parts: NewReading[][] = []
  for (let at = 0; at < readings.length; at += READINGS_LIMIT) {
    parts.push(readings.slice(at, at + READINGS_LIMIT))
  }
  return parts
}

function bodyOf(readings: readonly NewReading[]) {
  const start = readings[0]?.at ?? 0
  const humid = readings.some(({ humidityTenths }) => humidityTenths !== null)
  return {
    startAt: new Date(start).toISOString(),
    seconds: readings.map(({ at }) => Math.round((at - start) / 1000)),
    centiC: readings.map(({ centiC }) => centiC),
    humidityTenths: humid ? readings.map(({ humidityTenths }) => humidityTenths) : null,
  }
}
