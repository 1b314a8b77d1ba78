// The demo's loggers and what they read: two cold rooms, and the week in which one stood warm.
import { MS_PER_DAY, MS_PER_HOUR, MS_PER_MINUTE } from '#trade/intervals.ts'
import { at } from './writer.ts'
import type { DemoWriter } from './writer.ts'
import { idOf } from './setting.ts'

const loggers = [
  { key: 'room 1', name: 'Logger 1', usualC: 2, failed: false },
  { key: 'room 2', name: 'Logger 2', usualC: 1.4, failed: true },
] as const

type DemoLogger = (typeof loggers)[number]

/** The compressor of room 2 failed on the evening of 20 February, and ran again a week later. */
const failedFrom = (year: number) => at(year, 2, 20, 6)
const FAILED_DAYS = 7
/** Readings are often while wood lies in store, and seldom in the rest of the year; minutes. */
const OFTEN = 15
const SELDOM = 60

/** Registers the loggers and writes what they read from the first winter until `now`. */
export function readClimate(writer: DemoWriter, year: number, now: Date): void {
  for (const logger of loggers) {
    const began = at(year - 2, 12, 20, 9)
    writer.add('logger.registered', began, 'store', {
      loggerId: idOf(`logger ${logger.key}`),
      name: logger.name,
      serial: null,
      placeId: idOf(`place ${logger.key}`),
      fromAt: new Date(began).toISOString(),
      note: '',
    })
    const first = at(year - 1, 1, 1, 0)
    for (let day = first; day < now.getTime(); day += MS_PER_DAY) {
      readDay(writer, logger, day, { year, until: now.getTime() - MS_PER_HOUR })
    }
  }
}

/** One day of one logger; the first lay forgotten on the table for a day each March. */
function readDay(
  writer: DemoWriter,
  logger: DemoLogger,
  day: number,
  { year, until }: { year: number; until: number },
): void {
  const date = new Date(day)
  if (!logger.failed && date.getUTCMonth() === 2 && date.getUTCDate() === 9) return
  const everyMinutes = date.getUTCMonth() < 5 ? OFTEN : SELDOM
  const seconds: number[] = []
  const centiC: number[] = []
  const humidityTenths: number[] = []
  for (let past = 0; past < MS_PER_DAY; past += everyMinutes * MS_PER_MINUTE) {
    if (day + past > until) break
    const warmth = logger.failed ? warmthOf(day + past - failedFrom(year)) : 0
    const swing = Math.sin((2 * Math.PI * past) / (4 * MS_PER_HOUR)) * 0.3
    const noise = (writer.chance.whole(0, 20) - 10) / 100
    seconds.push(past / 1000)
    centiC.push(Math.round((logger.usualC + swing + noise + warmth) * 100))
    humidityTenths.push(writer.chance.whole(880, 940) - Math.round(warmth * 12))
  }
  const last = seconds.at(-1)
  if (last === undefined) return
  writer.add('temperature.logged', day + last * 1000, 'store', {
    loggerId: idOf(`logger ${logger.key}`),
    startAt: date.toISOString(),
    ...{ seconds, centiC, humidityTenths, leftOut: 0 },
  })
}

/** Degrees above usual, some time after the compressor failed: up in hours, and down again. */
function warmthOf(pastMs: number): number {
  if (pastMs < 0) return 0
  const risen = Math.min(1, pastMs / (12 * MS_PER_HOUR)) * 8.6
  const cooledHours = (pastMs - FAILED_DAYS * MS_PER_DAY) / (6 * MS_PER_HOUR)
  const left = Math.max(0, Math.min(1, 1 - cooledHours))
  const daytime = Math.sin((2 * Math.PI * (pastMs % MS_PER_DAY)) / MS_PER_DAY) * 0.8
  return Math.max(0, risen + daytime) * left
}
