// Judges the wood in hand for the very vine in front of the person, by the plan of its stretch.
import type { Judgement } from '#trade/judge.ts'
import { judgePlan } from '#trade/judge-plan.ts'
import { severityOf, verdictOf } from '#trade/reasons.ts'
import { planForLot } from '#trade/row-plan.ts'
import type { AccountShape } from '#wire/basics.ts'
import type { PhoneLot, PhonePlan, Snapshot, WoodAtHand } from '../../phone.ts'

/** The plan of this season for a vine, or null. */
export function planAt(
  snapshot: Snapshot,
  rowId: string,
  position: number,
  season: number,
): PhonePlan | null {
  return plansOf(snapshot, rowId, season).find((plan) => covers(plan, position)) ?? null
}

/** The wood that is grafted with, for judgement: by where it lay itself, and in whose hand. */
export function inHand({ lotId, bundleId, from }: WoodOfGraft): WoodAtHand {
  return { lotId, bundleId, account: from }
}

interface WoodOfGraft {
  readonly lotId: string
  readonly bundleId: string | null
  readonly from: AccountShape
}

/**
 * The phone's judgement of the wood in hand, with the plan of this vine's stretch in place of the
 * row's: a row may be planned for two varieties. Null when the phone does not know the lot.
 */
export function judgeVine(
  snapshot: Snapshot,
  wood: WoodOfGraft,
  vine: { rowId: string; position: number },
  nowMs: number,
): Judgement | null {
  const whole = snapshot.judgeWood(inHand(wood), null, nowMs)
  const lot = snapshot.lot(wood.lotId)
  if (whole === null || lot === null) return whole
  const plans = plansOf(snapshot, vine.rowId, new Date(nowMs).getFullYear())
  const plan = planForLot(plans, lot.facts, vine.position)
  const reasons = [
    ...judgePlan({ ...lot.facts, plan }, snapshot.policies),
    ...whole.reasons.filter(({ code }) => !code.startsWith('plan.') && !isMiscount(code, lot)),
  ].sort((one, other) => severityOf(other.verdict) - severityOf(one.verdict))
  return { verdict: verdictOf(reasons), reasons }
}

/**
 * While the lot has wood left, a hand that is empty by the records but grafts on was counted wrong:
 * the row's screen says so once, and it is no reason to stop.
 */
function isMiscount(code: string, { facts: { left } }: PhoneLot): boolean {
  return code === 'stock.nothing_left' && left !== null && left.sticks + left.buds > 0
}

function plansOf(snapshot: Snapshot, rowId: string, season: number): PhonePlan[] {
  return snapshot.plans(rowId).filter((plan) => plan.season === season)
}

function covers(plan: PhonePlan, position: number): boolean {
  return plan.fromPosition <= position && position <= plan.toPosition
}
