// Makes out of all checks of a lot's wood the latest of each sort, as judgement uses them.
import { MS_PER_DAY } from './intervals.ts'
import { lossBetween, moistureOfShare, moistureOfWeights } from './moisture.ts'
import type { MoistureBasis } from './moisture.ts'
import type { CountedCheck, MoistureCheck, WoodChecks } from './wood-checks.ts'

/** Buds or sticks looked at, as recorded. Times in epoch milliseconds. */
export interface ViabilityRecord extends CountedCheck {
  readonly method: 'cut bud' | 'forcing test' | 'cambium scratch'
}

/** Moisture as recorded: weights in grams, or a meter's percent with its basis. */
export type MoistureRecord = { readonly checkedAt: number } & (
  | { readonly by: 'oven'; readonly freshGrams: number; readonly dryGrams: number }
  | { readonly by: 'meter'; readonly percent: number; readonly basis: MoistureBasis }
  | { readonly by: 'weighing again'; readonly atCutGrams: number; readonly nowGrams: number }
)

/** All that was recorded of one lot. */
export interface CheckRecords {
  readonly viability: readonly ViabilityRecord[]
  readonly moisture: readonly MoistureRecord[]
}

/** A moisture measured within so many days of cutting stands for that at cutting. */
const AT_CUTTING_DAYS = 7

/**
 * The latest check of each sort before `untilAt`.
 *
 * @param madeAt when the lot was cut or came in; epoch milliseconds
 */
export function latestChecks(
  records: CheckRecords,
  madeAt: number,
  untilAt = Number.POSITIVE_INFINITY,
): WoodChecks {
  const counted = records.viability.filter(({ checkedAt }) => checkedAt <= untilAt)
  const ofCambium = (record: ViabilityRecord): boolean => record.method === 'cambium scratch'
  return {
    buds: latest(counted.filter((record) => !ofCambium(record)).map(countOf)),
    cambium: latest(counted.filter(ofCambium).map(countOf)),
    moisture: latestMoisture(
      records.moisture.filter(({ checkedAt }) => checkedAt <= untilAt),
      madeAt,
    ),
  }
}

/** What one record says of the wetness of wood, or null when it cannot be true. */
export function moistureOfRecord(record: MoistureRecord): number | null {
  try {
    if (record.by === 'oven') {
      return moistureOfWeights(record.freshGrams, record.dryGrams).ofFresh
    }
    if (record.by === 'meter') return moistureOfShare(record.percent / 100, record.basis).ofFresh
    return null
  } catch (error) {
    if (error instanceof RangeError) return null
    throw error
  }
}

function countOf({ checkedAt, live, sampled }: ViabilityRecord): CountedCheck {
  return { checkedAt, live: Math.min(live, sampled), sampled }
}

function latestMoisture(records: readonly MoistureRecord[], madeAt: number): MoistureCheck | null {
  const last = latest(records)
  if (last === null) return null
  const ofFreshThen = moistureAtCutting(records, madeAt, last)
  const { checkedAt } = last
  if (last.by === 'weighing again') {
    const loss = lossOf(last.atCutGrams, last.nowGrams, ofFreshThen)
    return {
      checkedAt,
      ofFresh: loss.ofFreshNow,
      lostOfWater: loss.ofWater,
      lostOfWeight: loss.ofWeight,
    }
  }
  const ofFresh = moistureOfRecord(last)
  // The dry weight does not change: water for a gram of it tells what was lost.
  const dryNow = ofFresh === null ? null : moistureOfShare(ofFresh, 'fresh weight').ofDry
  const dryThen = ofFreshThen === null ? null : moistureOfShare(ofFreshThen, 'fresh weight').ofDry
  const isComparable = dryNow !== null && dryThen !== null && dryThen > 0
  const lostOfWater = isComparable ? 1 - dryNow / dryThen : null
  return { checkedAt, ofFresh, lostOfWater, lostOfWeight: null }
}

/** Weights that cannot come from the moisture at cutting still tell the loss of weight. */
function lossOf(then: number, now: number, ofFreshThen: number | null) {
  try {
    return lossBetween(then, now, ofFreshThen)
  } catch (error) {
    if (error instanceof RangeError) return lossBetween(then, now, null)
    throw error
  }
}

function moistureAtCutting(
  records: readonly MoistureRecord[],
  madeAt: number,
  last: MoistureRecord,
): number | null {
  const first = [...records]
    .filter((record) => record !== last && record.checkedAt <= last.checkedAt)
    .filter(({ checkedAt }) => Math.abs(checkedAt - madeAt) <= AT_CUTTING_DAYS * MS_PER_DAY)
    .sort((one, other) => one.checkedAt - other.checkedAt)
    .map(moistureOfRecord)
    .find((ofFresh) => ofFresh !== null)
  return first ?? null
}

function latest<T extends { readonly checkedAt: number }>(records: readonly T[]): T | null {
  return records.reduce<T | null>(
    (best, record) => (best === null || record.checkedAt >= best.checkedAt ? record : best),
    null,
  )
}
