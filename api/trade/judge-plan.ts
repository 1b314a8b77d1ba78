// Whether a lot is what the row's plan asks for: variety, clone and class of the scheme.
import type { KnownLotFacts, RowPlan } from './lot-facts.ts'
import type { Policies } from './policies.ts'
import { reasonOf } from './reasons.ts'
import type { Reason } from './reasons.ts'

/** Compares the lot with the plan; a row without a plan, or a field left open, is no fault. */
export function judgePlan(lot: KnownLotFacts, policies: Policies): Reason[] {
  if (lot.plan === null) return []
  return [
    ...judgeVariety(lot, lot.plan),
    ...judgeClone(lot, lot.plan),
    ...judgeClass(lot, lot.plan, policies),
  ]
}

function judgeVariety(lot: KnownLotFacts, plan: RowPlan): Reason[] {
  if (plan.varietyId === null || plan.varietyId === lot.varietyId) return []
  const facts = {
    rowId: plan.rowId,
    plannedVarietyId: plan.varietyId,
    lotVarietyId: lot.varietyId,
  }
  return [reasonOf('plan.variety', facts)]
}

function judgeClone(lot: KnownLotFacts, plan: RowPlan): Reason[] {
  if (plan.clone === null || plan.clone === lot.clone) return []
  const facts = { rowId: plan.rowId, plannedClone: plan.clone }
  if (lot.clone === null) return [reasonOf('plan.clone_unknown', facts)]
  return [reasonOf('plan.clone', { ...facts, lotClone: lot.clone })]
}

/** A stricter class than asked for is welcome; a laxer one is not. */
function judgeClass(lot: KnownLotFacts, plan: RowPlan, policies: Policies): Reason[] {
  if (plan.minimumClass === null) return []
  const facts = {
    rowId: plan.rowId,
    plannedScheme: plan.scheme,
    plannedClass: plan.minimumClass,
    lotScheme: lot.scheme,
    lotClass: lot.className,
  }
  if (lot.className === null) return [reasonOf('plan.class_unknown', facts)]
  const isSame = plan.scheme === lot.scheme && plan.minimumClass === lot.className
  if (isSame) return []
  const ladder = policies.classLadder.value.find((entry) => entry.scheme === plan.scheme)
  const planned = ladder?.classes.indexOf(plan.minimumClass) ?? -1
  const actual = ladder?.classes.indexOf(lot.className) ?? -1
  if (plan.scheme !== lot.scheme || planned < 0 || actual < 0) {
    return [reasonOf('plan.class_not_comparable', facts)]
  }
  return actual > planned ? [reasonOf('plan.class_below', facts)] : []
}
