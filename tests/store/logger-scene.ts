// Loggers and seeded readings for tests; the year is made up, no weather station measured it.
import type { Entry } from '#wire/entry.ts'
import { seeded } from '../sim/entry-writer.ts'
import { SmallSeason } from '../lots/small-season.ts'

export const MINUTE = 60_000
export const DAY = 24 * 60 * MINUTE

export type Sample = { at: number; centiC: number; humidityTenths: number | null }

/** A room about as warm as `baseC`, with noise, a slow wave, and some hours lost. */
export function madeUpReadings(
  seed: number,
  from: number,
  days: number,
  options: { everyMinutes?: number; baseC?: number; swingC?: number } = {},
): Sample[] {
  const { everyMinutes = 5, baseC = 2, swingC = 3 } = options
  const random = seeded(seed)
  const samples: Sample[] = []
  let lostUntil = 0
  for (let at = from; at < from + days * DAY; at += everyMinutes * MINUTE) {
    if (random() < 0.0005) lostUntil = at + random() * 10 * 60 * MINUTE
    if (at < lostUntil) continue
    const wave = swingC * Math.sin((2 * Math.PI * (at - from)) / (9.3 * DAY))
    const tempC = baseC + wave + random() - 0.5
    const humidityTenths = random() < 0.01 ? null : Math.round(850 + random() * 100)
    samples.push({ at, centiC: Math.round(tempC * 100), humidityTenths })
  }
  return samples
}

/** A season in which loggers stand in places and read. */
export class LoggerSeason extends SmallSeason {
  room(name: string, insidePlace: string | null = null): void {
    this.add('place.registered', {
      placeId: this.id(name),
      name,
      placeKind: insidePlace === null ? 'room' : 'bin',
      insidePlaceId: insidePlace === null ? null : this.id(insidePlace),
      cooled: true,
      note: '',
    })
  }

  logger(name: string, place: string | null, from: number): void {
    this.add('logger.registered', {
      loggerId: this.id(name),
      name,
      serial: null,
      placeId: place === null ? null : this.id(place),
      fromAt: new Date(from).toISOString(),
      note: '',
    })
  }

  /** One entry for each day of the readings. */
  read(logger: string, samples: readonly Sample[]): Entry<'temperature.logged'>[] {
    const days = new Map<number, Sample[]>()
    for (const sample of samples) {
      const day = Math.floor(sample.at / DAY)
      days.set(day, [...(days.get(day) ?? []), sample])
    }
    return [...days.values()].map((own) => this.readOnce(logger, own))
  }

  readOnce(logger: string, samples: readonly Sample[]): Entry<'temperature.logged'> {
    const start = samples[0]?.at ?? 0
    return this.add('temperature.logged', {
      loggerId: this.id(logger),
      startAt: new Date(start).toISOString(),
      seconds: samples.map(({ at }) => (at - start) / 1000),
      centiC: samples.map(({ centiC }) => centiC),
      humidityTenths: samples.map(({ humidityTenths }) => humidityTenths),
      leftOut: 0,
    })
  }
}
