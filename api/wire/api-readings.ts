// What a logger's gateway sends, and what it is told.
import { z } from 'zod'
import { Id, When } from './basics.ts'

/** Most readings in one request: a month at five minutes, and some. */
export const READINGS_BATCH_LIMIT = 10_000
/** Largest request, in bytes. */
export const READINGS_BYTE_LIMIT = 2 * 1024 * 1024

/** Readings of one logger, in any order. */
export const ReadingsBatch = z.strictObject({
  loggerId: Id,
  readings: z
    .array(
      z.strictObject({
        at: When,
        tempC: z.number().min(-60).max(90).describe('degrees Celsius, kept to hundredths'),
        humidityPercent: z
          .number()
          .min(0)
          .max(100)
          .nullable()
          .optional()
          .describe('relative humidity, kept to tenths'),
      }),
    )
    .max(READINGS_BATCH_LIMIT, `send at most ${READINGS_BATCH_LIMIT} readings at a time`),
})

/** The answer: every reading is in the journal, now or before. */
export const ReadingsAnswer = z
  .strictObject({
    recorded: z.int().min(0).describe('readings that are new'),
    alreadyRecorded: z.int().min(0).describe('readings that were there, with the same value'),
    differing: z
      .int()
      .min(0)
      .describe('new readings of a moment that another value was recorded for; both are kept'),
    entryIds: z.array(z.string()).describe('the entries they stand in, one for each day'),
    knownLogger: z
      .boolean()
      .describe('false when nobody has registered this logger; the readings are kept all the same'),
  })
  .meta({ id: 'ReadingsAnswer' })

/** A logger as the machine API tells of it. */
export const ApiLogger = z
  .strictObject({
    loggerId: z.string(),
    name: z.string(),
    serial: z.string().nullable(),
    placeId: z.string().nullable().describe('where it stands now; null for nowhere'),
  })
  .meta({ id: 'Logger' })

export const ApiLoggers = z.strictObject({ loggers: z.array(ApiLogger) }).meta({ id: 'Loggers' })
