// Judges a lot for what a stretch of a row is planned for.
import { judge } from '#trade/judge.ts'
import type { Judgement } from '#trade/judge.ts'
import type { KnownLotFacts, LotFacts, RowPlan } from '#trade/lot-facts.ts'
import type { Policies } from '#trade/policies.ts'
import { verdictOf } from '#trade/reasons.ts'
import type { Reason } from '#trade/reasons.ts'
import { planAt } from '../nursery/read-blocks.ts'
import type { PlanNow } from '../nursery/read-blocks.ts'

/** The plans that count at some of these positions in a season; null stands for no plan. */
export function plansFor(
  plans: readonly PlanNow[],
  season: number,
  positions: readonly number[],
): (PlanNow | null)[] {
  return [...new Set(positions.map((position) => planAt(plans, season, position)))]
}

/**
 * The verdict on a lot at an instant for all of these plans together: as bad as for the worst of
 * them, each reason once.
 */
export function judgeForPlans(
  lot: LotFacts,
  plans: readonly (PlanNow | null)[],
  policies: Policies,
  at: Date,
): Judgement {
  if (!lot.known) return judge(lot, policies, at.getTime())
  const reasons = new Map<string, Reason>()
  for (const plan of plans.length === 0 ? [null] : plans) {
    const facts = { ...lot, plan: plan === null ? null : rowPlanOf(plan, lot) }
    for (const reason of judge(facts, policies, at.getTime()).reasons) {
      reasons.set(JSON.stringify(reason), reason)
    }
  }
  const all = [...reasons.values()]
  return { verdict: verdictOf(all), reasons: all }
}

/** A plan names no scheme; its class is taken to be of the lot's own. */
function rowPlanOf(plan: PlanNow, lot: KnownLotFacts): RowPlan {
  return {
    rowId: plan.row_id,
    varietyId: plan.variety_id,
    clone: plan.clone,
    scheme: plan.class === null ? null : lot.scheme,
    minimumClass: plan.class,
  }
}
