// Turns the grafts and checks of a vine into attempts, whose outcome and take can be worked out.
import { NIL_ID } from '#wire/basics.ts'
import { countTake } from '#trade/take.ts'
import type { Take } from '#trade/take.ts'
import { vineStack } from '#trade/vine-stack.ts'
import type { GraftAttempt, Origin, TakeCheck, TrunkLayer, VineStack } from '#trade/vine-stack.ts'
import type { StatedLayer } from '../nursery/read-blocks.ts'
import type { CheckRow, GraftRow } from './row-facts.ts'
import type { SeasonOf } from './season.ts'
import type { VineLifeRecord, VineRecord } from './vine-record.ts'

/** The vine's layers and judged attempts, by the facts of its life. */
export function stackOf(life: VineLifeRecord, seasonOf: SeasonOf): VineStack {
  return vineStack(life.trunk.map(asTrunkLayer), attemptsOf(life, seasonOf))
}

/**
 * One attempt for each graft, with the checks that tell of it. A check that did not tell the buds
 * apart counts for the only graft it can mean, or for all of them when all their buds fared alike;
 * otherwise it tells of none of them alone.
 */
export function attemptsOf(life: VineLifeRecord, seasonOf: SeasonOf): GraftAttempt[] {
  const checks = new Map<string, TakeCheck[]>(life.grafts.map((graft) => [graft.graft_id, []]))
  for (const check of life.checks) {
    if (check.graft_id !== null) {
      checks.get(check.graft_id)?.push(asTakeCheck(check))
      continue
    }
    for (const { graft, share } of sharedOut(check, meantBy(check, life, seasonOf))) {
      checks.get(graft.graft_id)?.push(share)
    }
  }
  return life.grafts.map((graft) => asAttempt(graft, checks.get(graft.graft_id) ?? []))
}

/**
 * The attempts of one season as take counts them: grafts whose buds were only looked at together
 * are one attempt.
 */
export function attemptsForTake(
  life: VineLifeRecord,
  season: number,
  seasonOf: SeasonOf,
): GraftAttempt[] {
  const grafts = life.grafts.filter((graft) => seasonOf(graft.grafted_at) === season)
  const attempts = attemptsOf({ ...life, grafts }, seasonOf)
  const together = life.checks
    .filter((check) => check.graft_id === null)
    .map((check) => ({ check, grafts: meantBy(check, { ...life, grafts }, seasonOf) }))
    .filter(({ check, grafts: meant }) => meant.length > 1 && sharedOut(check, meant).length === 0)
    .at(-1)
  if (together === undefined) return attempts
  const meant = new Set(together.grafts.map((graft) => graft.graft_id))
  const apart = attempts.filter((attempt) => !meant.has(attempt.graftId))
  const joined = attempts.filter((attempt) => meant.has(attempt.graftId))
  const [first] = joined
  const lookedAtSince = joined.some((attempt) =>
    attempt.takeChecks.some((one) => one.checkedAt > together.check.checked_at.getTime()),
  )
  if (first === undefined || lookedAtSince) return attempts
  const budCount = joined.reduce((sum, attempt) => sum + attempt.budCount, 0)
  return [...apart, { ...first, budCount, takeChecks: [asTakeCheck(together.check)] }]
}

/** Take of a season over these vines, those that stand no more included. */
export function takeOf(records: readonly VineRecord[], season: number, seasonOf: SeasonOf): Take {
  return countTake(
    records.flatMap((record) =>
      record.lives.map((life) => attemptsForTake(life, season, seasonOf)),
    ),
  )
}

/** The grafts that a check without a graft can mean: those of the vine's latest season then. */
function meantBy(check: CheckRow, life: VineLifeRecord, seasonOf: SeasonOf): GraftRow[] {
  const there = life.grafts.filter(
    (graft) =>
      graft.grafted_at <= check.checked_at &&
      (graft.removed_at === null || graft.removed_at > check.checked_at),
  )
  const season = Math.max(...there.map((graft) => seasonOf(graft.grafted_at)))
  return there.filter((graft) => seasonOf(graft.grafted_at) === season)
}

function sharedOut(
  check: CheckRow,
  grafts: readonly GraftRow[],
): { graft: GraftRow; share: TakeCheck }[] {
  const [only] = grafts
  if (only !== undefined && grafts.length === 1) {
    return [{ graft: only, share: asTakeCheck(check) }]
  }
  const set = grafts.reduce((sum, graft) => sum + graft.bud_count, 0)
  const fate = (['growing', 'callused', 'failed'] as const).find((word) => check[word] === set)
  if (fate === undefined || set === 0) return []
  const none = { growing: 0, callused: 0, failed: 0 }
  return grafts.map((graft) => ({
    graft,
    share: { ...asTakeCheck(check), ...none, [fate]: graft.bud_count },
  }))
}

function asAttempt(graft: GraftRow, takeChecks: TakeCheck[]): GraftAttempt {
  return {
    graftId: graft.graft_id,
    lotId: graft.lot_id,
    varietyId: graft.variety_id ?? NIL_ID,
    clone: graft.clone,
    method: graft.method,
    budCount: graft.bud_count,
    graftedAt: graft.grafted_at.getTime(),
    removedAt: graft.removed_at?.getTime() ?? null,
    takeChecks,
  }
}

function asTakeCheck(check: CheckRow): TakeCheck {
  const { growing, callused, failed } = check
  const checkedAt = check.checked_at.getTime()
  return { checkId: check.entry_id, checkedAt, growing, callused, failed }
}

function asTrunkLayer(layer: StatedLayer): TrunkLayer {
  return {
    role: layer.role,
    varietyId: layer.variety_id,
    clone: layer.clone,
    origin: originOf(layer),
    plantedYear: layer.planted_year,
  }
}

function originOf(layer: StatedLayer): Origin {
  if (layer.origin_id === null) return { kind: 'unknown' }
  if (layer.origin_kind === 'lot') return { kind: 'lot', lotId: layer.origin_id }
  if (layer.origin_kind === 'source') return { kind: 'source', sourceId: layer.origin_id }
  return { kind: 'unknown' }
}
