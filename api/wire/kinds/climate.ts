// Entries about loggers and what they read.
import { z } from 'zod'
import { CountOrNone, Id, Name, Note, When } from '../basics.ts'

/** Most readings in one entry: a day, one every half a minute. */
export const READINGS_LIMIT = 3000
/** Longest time that one entry's readings span, in seconds: a day and its clock change. */
export const READINGS_SPAN_SECONDS = 26 * 3600
/** Coldest and warmest reading that is taken for one, in hundredths of a degree Celsius. */
export const COLDEST_CENTI_C = -6000
export const WARMEST_CENTI_C = 9000

/** How a logger's files are laid out, as its last import chose. */
export const LoggerLayout = z.strictObject({
  separator: z.enum([',', ';', '\t']),
  decimal: z.enum(['.', ',']),
  dateOrder: z.enum(['year month day', 'day month year', 'month day year']),
  unit: z.enum(['C', 'F']),
  zone: Name.describe('an IANA time zone, or a fixed distance from UTC like +01:00'),
  headerLines: z.int().min(0).max(200),
  timeColumn: z.int().min(1).max(200),
  clockColumn: z.int().min(1).max(200).nullable().describe('where the time of day stands apart'),
  tempColumn: z.int().min(1).max(200),
  humidityColumn: z.int().min(1).max(200).nullable(),
})

export type LoggerLayoutShape = z.infer<typeof LoggerLayout>

export const climateKinds = {
  /** A logger is made known and put in a place; a later one moves it or corrects it. */
  'logger.registered': {
    v: 1,
    body: z.strictObject({
      loggerId: Id,
      name: Name,
      serial: Name.nullable(),
      placeId: Id.nullable().describe('where it stands; null when it is in no place'),
      fromAt: When.describe('since when it stands there'),
      note: Note,
    }),
  },
  /** How the files of a logger are to be read from now on. */
  'logger.layout_chosen': { v: 1, body: z.strictObject({ loggerId: Id, layout: LoggerLayout }) },
  /** Readings of one logger, one day's at most. */
  'temperature.logged': {
    v: 1,
    body: z
      .strictObject({
        loggerId: Id,
        startAt: When,
        seconds: z
          .array(z.int().min(0).max(READINGS_SPAN_SECONDS))
          .min(1)
          .max(READINGS_LIMIT)
          .describe('seconds after startAt, each more than the one before'),
        centiC: z
          .array(z.int().min(COLDEST_CENTI_C).max(WARMEST_CENTI_C))
          .min(1)
          .max(READINGS_LIMIT)
          .describe('hundredths of a degree Celsius, one for each of the seconds'),
        humidityTenths: z
          .array(z.int().min(0).max(1000).nullable())
          .min(1)
          .max(READINGS_LIMIT)
          .nullable()
          .describe('tenths of a per cent of relative humidity; null for none'),
        leftOut: CountOrNone.describe('lines of the file that a person chose to leave out'),
      })
      .refine(
        ({ seconds, centiC, humidityTenths }) =>
          centiC.length === seconds.length &&
          (humidityTenths === null || humidityTenths.length === seconds.length),
        'seconds, centiC and humidityTenths must have the same length',
      )
      .refine(
        ({ seconds }) => seconds.every((second, nr) => nr === 0 || second > (seconds[nr - 1] ?? 0)),
        'the seconds must rise from each reading to the next',
      ),
  },
} as const
