// Says in one word how a vine stands: planned, grafted, growing, failed, missing and so on.
import { vineStack } from '#trade/vine-stack.ts'
import type { GraftOutcome } from '#trade/vine-stack.ts'
import { planAt } from '../nursery/read-blocks.ts'
import type { PlanNow, RowNow } from '../nursery/read-blocks.ts'
import type { GraftRow } from './row-facts.ts'
import type { SeasonOf } from './season.ts'
import { attemptsForTake } from './vine-attempts.ts'
import type { VineLifeRecord, VineRecord } from './vine-record.ts'

/** `standing`: a vine is there and nothing was planned or done. */
export const vineStates = [
  'standing',
  'planned',
  'grafted',
  'growing',
  'callused',
  'failed',
  'skipped',
  'removed',
  'missing',
] as const
export type VineState = (typeof vineStates)[number]

/** How a vine stands in one season. `at` is the day of what the state tells. */
export type VineNow = {
  position: number
  state: VineState
  /** The season that the state is of; null for a vine that is gone or has nothing to tell. */
  season: number | null
  /** The latest graft of that season, or null. */
  graft: GraftRow | null
  /** What is on the vine, or is planned. */
  variety: string | null
  at: Date | null
  /** Why it was skipped or removed. */
  reason: string | null
}

/**
 * How the vine at a position stands now. With a season, only what was planned and done in it
 * counts; without, each vine's latest season. Grafts on an earlier vine of the place do not count.
 */
export function vineNow(
  record: VineRecord,
  row: RowNow,
  plans: readonly PlanNow[],
  season: number | null,
  seasonOf: SeasonOf,
): VineNow {
  const { position } = record
  const life = record.lives.at(-1)
  const nothing = { position, season: null, graft: null, variety: null, at: null, reason: null }
  if (life === undefined || record.absent === 'missing') {
    return { ...nothing, state: 'missing', at: row.laid_out_at }
  }
  if (record.absent === 'removed') {
    const at = life.endedAt === null ? null : new Date(life.endedAt)
    return { ...nothing, state: 'removed', at, reason: life.endedBy?.reason ?? null }
  }
  const counted = season ?? latestSeason(life, position, plans, seasonOf)
  if (counted === null) return { ...nothing, state: 'standing' }
  return (
    graftedState(nothing, life, counted, seasonOf) ??
    skippedState(nothing, life, counted, seasonOf) ??
    plannedState(nothing, plans, counted) ?? { ...nothing, state: 'standing' }
  )
}

type Blank = Omit<VineNow, 'state'>

function graftedState(
  blank: Blank,
  life: VineLifeRecord,
  season: number,
  seasonOf: SeasonOf,
): VineNow | null {
  const attempts = attemptsForTake(life, season, seasonOf)
  if (attempts.length === 0) return null
  const { attempts: judged } = vineStack([], attempts)
  const has = (outcome: GraftOutcome) => judged.filter((one) => one.outcome === outcome)
  // One living bud decides; a removed graft is as little alive as a failed one.
  const best = [has('growing'), has('callused'), has('not checked')].find((some) => some.length > 0)
  const state = best === undefined ? 'failed' : outcomeStates[best[0]?.outcome ?? 'failed']
  const shown = (best ?? judged).at(-1)
  const graft = life.grafts.find((one) => one.graft_id === shown?.graftId) ?? null
  return {
    ...blank,
    state,
    season,
    graft,
    variety: graft?.variety ?? null,
    at: graft?.grafted_at ?? null,
  }
}

const outcomeStates: Record<GraftOutcome, VineState> = {
  growing: 'growing',
  callused: 'callused',
  'not checked': 'grafted',
  failed: 'failed',
  removed: 'failed',
}

function skippedState(
  blank: Blank,
  life: VineLifeRecord,
  season: number,
  seasonOf: SeasonOf,
): VineNow | null {
  const skip = life.skips.filter((one) => seasonOf(one.occurred_at) === season).at(-1)
  if (skip === undefined) return null
  return { ...blank, state: 'skipped', season, at: skip.occurred_at, reason: skip.reason }
}

function plannedState(blank: Blank, plans: readonly PlanNow[], season: number): VineNow | null {
  const plan = planAt(plans, season, blank.position)
  if (plan === null) return null
  return { ...blank, state: 'planned', season, variety: plan.variety, at: plan.planned_at }
}

function latestSeason(
  life: VineLifeRecord,
  position: number,
  plans: readonly PlanNow[],
  seasonOf: SeasonOf,
): number | null {
  const seasons = [
    ...life.grafts.map((graft) => seasonOf(graft.grafted_at)),
    ...life.skips.map((skip) => seasonOf(skip.occurred_at)),
    ...plans
      .filter((plan) => plan.from_position <= position && position <= plan.to_position)
      .map((plan) => plan.season),
  ]
  return seasons.length === 0 ? null : Math.max(...seasons)
}
