// What entries about loggers and their readings state.
import { subjects } from '../journal/fact-rows.ts'
import type { FactsOfKinds } from '../journal/fact-rows.ts'

type LoggerKind = 'logger.registered' | 'logger.layout_chosen' | 'temperature.logged'

export const loggerFacts: FactsOfKinds<LoggerKind> = {
  'logger.registered': (entry) => ({
    logger: [
      {
        entry_id: entry.id,
        logger_id: entry.body.loggerId,
        name: entry.body.name,
        serial: entry.body.serial,
        place_id: entry.body.placeId,
        from_at: entry.body.fromAt,
        note: entry.body.note,
        occurred_at: entry.occurredAt,
      },
    ],
    entry_subject: subjects(entry, [
      { kind: 'logger', id: entry.body.loggerId },
      { kind: 'place', id: entry.body.placeId },
    ]),
  }),
  'logger.layout_chosen': (entry) => ({
    logger_layout: [
      {
        entry_id: entry.id,
        logger_id: entry.body.loggerId,
        layout: entry.body.layout,
        occurred_at: entry.occurredAt,
      },
    ],
    entry_subject: subjects(entry, [{ kind: 'logger', id: entry.body.loggerId }]),
  }),
  'temperature.logged': (entry) => {
    const { loggerId, startAt, seconds, centiC, humidityTenths, leftOut } = entry.body
    const startMs = Date.parse(startAt)
    const at = (second: number) => new Date(startMs + second * 1000).toISOString()
    return {
      temperature_log: [
        {
          entry_id: entry.id,
          logger_id: loggerId,
          first_at: at(seconds[0] ?? 0),
          last_at: at(seconds.at(-1) ?? 0),
          seconds: seconds.map((second) => second - (seconds[0] ?? 0)),
          centi_c: centiC,
          // The generated type of an array does not know that its elements may be null.
          humidity_tenths: humidityTenths as number[] | null,
          left_out: leftOut,
          occurred_at: entry.occurredAt,
        },
      ],
      entry_subject: subjects(entry, [{ kind: 'logger', id: loggerId }]),
    }
  },
}
