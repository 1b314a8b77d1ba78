// Every check of one lot's wood as its page shows them, the latest first.
import { sql } from 'kysely'
import { moistureOfRecord } from '#trade/latest-checks.ts'
import { moistureOfShare } from '#trade/moisture.ts'
import type { Moisture } from '#trade/moisture.ts'
import type { MoistureRecord, ViabilityRecord } from '#trade/latest-checks.ts'
import type { Database } from '../../db/connect.ts'
import { moistureOf } from './lot-checks.ts'

/** Most checks of either sort that a page lists. */
export const CHECK_LIMIT = 50

type Told = { entryId: string; checkedAt: Date; bundleNumber: number | null; person: string | null }

/** Buds or sticks looked at. */
export type ViabilityLine = Told & {
  method: ViabilityRecord['method']
  sampled: number
  live: number
  forcedDays: number | null
}

/** Moisture as measured, and what it comes to; null where only a loss of weight is known. */
export type MoistureLine = Told & { record: MoistureRecord; moisture: Moisture | null }

/** The checks recorded of the lot itself. */
export async function readCheckLines(
  db: Database,
  lotId: string,
): Promise<{ viability: ViabilityLine[]; moisture: MoistureLine[] }> {
  const [viability, moisture] = await Promise.all([
    sql<ViabilityLine>`
      select c.entry_id as "entryId", c.checked_at as "checkedAt", c.method,
        c.sampled_count as sampled, c.live_count as live, c.forced_days as "forcedDays",
        ${bundleNumber} as "bundleNumber", p.name as person
      from viability_check c left join person p on p.person_id = c.person_id
      where c.lot_id = ${lotId} order by c.checked_at desc, c.entry_id limit ${CHECK_LIMIT}
    `.execute(db),
    sql<Told & Parameters<typeof moistureOf>[0]>`
      select c.entry_id as "entryId", c.checked_at as "checkedAt", c.checked_at, c.measured_by,
        c.basis, c.first_grams, c.second_grams, c.percent,
        ${bundleNumber} as "bundleNumber", p.name as person
      from moisture_check c left join person p on p.person_id = c.person_id
      where c.lot_id = ${lotId} order by c.checked_at desc, c.entry_id limit ${CHECK_LIMIT}
    `.execute(db),
  ])
  return { viability: viability.rows, moisture: moisture.rows.map(moistureLine) }
}

const bundleNumber = sql`(select number from bundle b where b.bundle_id = c.bundle_id
  order by b.occurred_at, b.entry_id, b.line limit 1)`

function moistureLine(row: Told & Parameters<typeof moistureOf>[0]): MoistureLine {
  const { entryId, checkedAt, bundleNumber: number, person } = row
  const record = moistureOf(row)
  const ofFresh = moistureOfRecord(record)
  return {
    ...{ entryId, checkedAt, bundleNumber: number, person, record },
    moisture: ofFresh === null ? null : moistureOfShare(ofFresh, 'fresh weight'),
  }
}
