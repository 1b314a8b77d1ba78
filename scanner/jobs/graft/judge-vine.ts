// Judges the wood in hand for the very vine in front of the person, by the plan of its stretch.
import type { Judgement } from '#trade/judge.ts'
import { judgePlan } from '#trade/judge-plan.ts'
import { severityOf, verdictOf } from '#trade/reasons.ts'
import { planForLot } from '#trade/row-plan.ts'
import type { PhonePlan, Snapshot } from '../../phone.ts'

/** The plan of this season for a vine, or null. */
export function planAt(
  snapshot: Snapshot,
  rowId: string,
  position: number,
  season: number,
): PhonePlan | null {
  return plansOf(snapshot, rowId, season).find((plan) => covers(plan, position)) ?? null
}

/**
 * The phone's judgement of the lot, with the plan of this vine's stretch in place of the row's: a
 * row may be planned for two varieties. Null when the phone does not know the lot.
 */
export function judgeVine(
  snapshot: Snapshot,
  lotId: string,
  vine: { rowId: string; position: number },
  nowMs: number,
): Judgement | null {
  const whole = snapshot.judge(lotId, null, nowMs)
  const lot = snapshot.lot(lotId)
  if (whole === null || lot === null) return whole
  const plans = plansOf(snapshot, vine.rowId, new Date(nowMs).getFullYear())
  const plan = planForLot(plans, lot.facts, vine.position)
  const reasons = [
    ...judgePlan({ ...lot.facts, plan }, snapshot.policies),
    ...whole.reasons.filter(({ code }) => !code.startsWith('plan.')),
  ].sort((one, other) => severityOf(other.verdict) - severityOf(one.verdict))
  return { verdict: verdictOf(reasons), reasons }
}

function plansOf(snapshot: Snapshot, rowId: string, season: number): PhonePlan[] {
  return snapshot.plans(rowId).filter((plan) => plan.season === season)
}

function covers(plan: PhonePlan, position: number): boolean {
  return plan.fromPosition <= position && position <= plan.toPosition
}
