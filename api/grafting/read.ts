// Reads rows and vines as they stand: states, stacks of layers, attempts, and take.
import { sql } from 'kysely'
import type { Take } from '#trade/take.ts'
import type { VineStack } from '#trade/vine-stack.ts'
import type { Database } from '../../db/connect.ts'
import { listRows } from '../nursery/read-blocks.ts'
import { nurseryTimeZone } from '../nursery/read.ts'
import { readRowFacts } from './row-facts.ts'
import type { RowFacts } from './row-facts.ts'
import { seasonsIn } from './season.ts'
import type { SeasonOf } from './season.ts'
import { stackOf, takeOf } from './vine-attempts.ts'
import { isInRow, vineRecords } from './vine-record.ts'
import type { VineLifeRecord, VineRecord } from './vine-record.ts'
import { vineNow, vineStates } from './vine-state.ts'
import type { VineNow, VineState } from './vine-state.ts'

/** How many vines of a row are in each state. */
export type StateCounts = Record<VineState, number>

/** One row with every vine's state. */
export type RowReading = {
  facts: RowFacts
  records: VineRecord[]
  /** One for each position of the row, in order. */
  vines: VineNow[]
  /** What is recorded at positions that the row does not have. */
  strays: VineRecord[]
  counts: StateCounts
  /** Seasons with a plan, a graft or a skip, the latest first. */
  seasons: number[]
}

/**
 * A row with its vines; null when it was never laid out. `season` narrows the states to what was
 * planned and done in that year.
 */
export async function readRowVines(
  db: Database,
  rowId: string,
  season: number | null = null,
): Promise<RowReading | null> {
  const seasonOf = seasonsIn(await nurseryTimeZone(db))
  const [facts] = await readRowFacts(db, [rowId])
  return facts === undefined ? null : readingOf(facts, season, seasonOf)
}

/** The rows of a block with their vines, in block order. */
export async function readBlockVines(
  db: Database,
  blockId: string,
  season: number | null = null,
): Promise<RowReading[]> {
  const seasonOf = seasonsIn(await nurseryTimeZone(db))
  const rows = await listRows(db, blockId)
  const facts = await readRowFacts(
    db,
    rows.map((row) => row.row_id),
  )
  return facts.map((one) => readingOf(one, season, seasonOf))
}

/** Take of one season over rows, by the last look at each graft. */
export async function takeOfRows(
  db: Database,
  rows: readonly RowReading[],
  season: number,
): Promise<Take> {
  const seasonOf = seasonsIn(await nurseryTimeZone(db))
  return takeOf(
    rows.flatMap((row) => row.records),
    season,
    seasonOf,
  )
}

/** One vine of a position: its facts and its layers. */
export type LifeReading = { life: VineLifeRecord; stack: VineStack }

/** A position with every vine it had. */
export type VineReading = {
  facts: RowFacts
  record: VineRecord
  now: VineNow
  /** Earliest first; the last is the vine that counts now. */
  lives: LifeReading[]
  /** Registered sources that this field vine serves as. */
  sources: { source_id: string; name: string }[]
  inRow: boolean
}

/** A vine; null when the row is unknown, or has no such position and nothing is recorded there. */
export async function readVine(
  db: Database,
  rowId: string,
  position: number,
): Promise<VineReading | null> {
  const seasonOf = seasonsIn(await nurseryTimeZone(db))
  const [facts] = await readRowFacts(db, [rowId])
  const record = facts && vineRecords(facts).find((one) => one.position === position)
  if (facts === undefined || record === undefined) return null
  const sources = await sql<{ source_id: string; name: string }>`
    select source_id, name from source_standing_row
    where row_id = ${rowId} and position = ${position} order by name`.execute(db)
  return {
    facts,
    record,
    now: vineNow(record, facts.row, facts.plans, null, seasonOf),
    lives: record.lives
      .filter((life, nr) => nr === record.lives.length - 1 || stoodThere(life, facts, position))
      .map((life) => ({ life, stack: stackOf(life, seasonOf) })),
    sources: sources.rows,
    inRow: isInRow(facts.row, position),
  }
}

/** No vine in any state. */
export function noCounts(): StateCounts {
  return Object.fromEntries(vineStates.map((state) => [state, 0])) as StateCounts
}

/** The sums of several rows' counts. */
export function sumCounts(all: readonly StateCounts[]): StateCounts {
  const sums = noCounts()
  for (const counts of all) for (const state of vineStates) sums[state] += counts[state]
  return sums
}

function readingOf(facts: RowFacts, season: number | null, seasonOf: SeasonOf): RowReading {
  const records = vineRecords(facts)
  const inside = records.filter((record) => isInRow(facts.row, record.position))
  const vines = inside.map((record) => vineNow(record, facts.row, facts.plans, season, seasonOf))
  const counts = noCounts()
  for (const vine of vines) counts[vine.state] += 1
  const seasons = new Set([
    ...facts.plans.map((plan) => plan.season),
    ...facts.grafts.map((graft) => seasonOf(graft.grafted_at)),
    ...facts.skips.map((skip) => seasonOf(skip.occurred_at)),
  ])
  return {
    facts,
    records,
    vines,
    strays: records.filter((record) => !isInRow(facts.row, record.position)),
    counts,
    seasons: [...seasons].sort((one, other) => other - one),
  }
}

/** What is said to come before the first planting may be no vine, but a place that was bare. */
function stoodThere(life: VineLifeRecord, facts: RowFacts, position: number): boolean {
  return (
    life.plantedBy !== null ||
    life.endedBy?.what === 'removed' ||
    life.grafts.length + life.checks.length + life.skips.length > 0 ||
    (life.trunk.length > 0 && !facts.row.missing.includes(position))
  )
}
