// The loggers that are known, and which of them stood in which place from when to when.
import type { Database } from '../../db/connect.ts'
import type { LoggerLayoutShape } from '#wire/kinds/climate.ts'
import { LoggerLayout } from '#wire/kinds/climate.ts'

/** One logger's time in one place (epoch milliseconds); `untilAt` is null while it stands there. */
export type LoggerStanding = {
  loggerId: string
  placeId: string
  fromAt: number
  untilAt: number | null
}

export type Logger = {
  loggerId: string
  name: string
  serial: string | null
  note: string
  /** In order of time; times in no place are left out. */
  standings: LoggerStanding[]
}

type LoggerRow = {
  entry_id: string
  logger_id: string
  name: string
  serial: string | null
  note: string
  place_id: string | null
  from_at: Date
  occurred_at: Date
}

/** All loggers by name. */
export async function readLoggers(db: Database): Promise<Logger[]> {
  const rows = await db.selectFrom('logger').selectAll().execute()
  return loggersOf(rows)
}

/** One logger, or null. */
export async function readLogger(db: Database, loggerId: string): Promise<Logger | null> {
  const rows = await db.selectFrom('logger').selectAll().where('logger_id', '=', loggerId).execute()
  return loggersOf(rows)[0] ?? null
}

/**
 * Loggers from what entries said of them, in any order. The last said counts for the name; of two
 * that move a logger at the same moment the last said counts as well.
 */
export function loggersOf(rows: readonly LoggerRow[]): Logger[] {
  const byId = new Map<string, LoggerRow[]>()
  for (const row of rows) byId.set(row.logger_id, [...(byId.get(row.logger_id) ?? []), row])
  const loggers = [...byId].map(([loggerId, own]): Logger => {
    const said = own.toSorted(
      (one, other) =>
        one.occurred_at.getTime() - other.occurred_at.getTime() ||
        (one.entry_id < other.entry_id ? -1 : 1),
    )
    const last = said.at(-1)
    return {
      loggerId,
      name: last?.name ?? loggerId,
      serial: last?.serial ?? null,
      note: last?.note ?? '',
      standings: standingsOf(loggerId, said),
    }
  })
  return loggers.sort((one, other) => collator.compare(one.name, other.name))
}

const collator = new Intl.Collator('en', { numeric: true })

function standingsOf(loggerId: string, said: readonly LoggerRow[]): LoggerStanding[] {
  const placeFrom = new Map<number, string | null>()
  for (const row of said) placeFrom.set(row.from_at.getTime(), row.place_id)
  const moves = [...placeFrom].sort((one, other) => one[0] - other[0])
  return moves.flatMap(([fromAt, placeId], nr): LoggerStanding[] => {
    const untilAt = moves[nr + 1]?.[0] ?? null
    return placeId === null ? [] : [{ loggerId, placeId, fromAt, untilAt }]
  })
}

/** Where a logger stands at a moment; null when it is in no place. */
export function placeAt(logger: Logger, at: number): string | null {
  const standing = logger.standings.findLast(
    ({ fromAt, untilAt }) => fromAt <= at && (untilAt === null || at < untilAt),
  )
  return standing?.placeId ?? null
}

/** How this logger's files were read last; null when nobody has chosen yet. */
export async function readLayout(
  db: Database,
  loggerId: string,
): Promise<LoggerLayoutShape | null> {
  const row = await db
    .selectFrom('logger_layout')
    .select('layout')
    .where('logger_id', '=', loggerId)
    .orderBy('occurred_at', 'desc')
    .orderBy('entry_id', 'desc')
    .limit(1)
    .executeTakeFirst()
  const read = LoggerLayout.safeParse(row?.layout)
  return read.success ? read.data : null
}
