// Records what a machine read, each reading once however often it is sent.
import { sql } from 'kysely'
import type { Database } from '../../db/connect.ts'
import { recordMade } from '../journal/desk.ts'
import type { Desk, Draft } from '../journal/desk.ts'
import { compareReadings, readingBodies } from './log-readings.ts'
import type { NewReading } from './log-readings.ts'

/** What became of readings that a machine sent. */
export type RecordedReadings = {
  recorded: number
  alreadyRecorded: number
  differing: number
  entryIds: string[]
}

const readingsLock = 7263031

/**
 * Records readings in order of time as entries of `desk.deviceId`, those that are new. Two requests
 * with the same readings at once record them once.
 */
export async function recordReadings(
  db: Database,
  desk: Desk,
  loggerId: string,
  readings: readonly NewReading[],
): Promise<RecordedReadings> {
  let told = { recorded: 0, alreadyRecorded: 0, differing: 0 }
  const entryIds = await recordMade(db, desk, async (trx) => {
    await sql`select pg_advisory_xact_lock(${readingsLock}, hashtext(${loggerId}))`.execute(trx)
    const { fresh, known, differing } = await compareReadings(trx, loggerId, readings)
    told = { recorded: fresh.length, alreadyRecorded: known, differing: differing.length }
    return readingBodies(loggerId, fresh).map((body): Draft => {
      return { kind: 'temperature.logged', body }
    })
  })
  return { ...told, entryIds }
}
