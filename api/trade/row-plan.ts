// Which of a row's plans a lot is judged by.
import type { RowPlan } from './lot-facts.ts'

/** A stretch of a row with what is to be set there. */
export interface PlannedStretch {
  readonly rowId: string
  readonly fromPosition: number
  readonly toPosition: number
  readonly varietyId: string
  readonly clone: string | null
  readonly className: string | null
}

/**
 * The latest plan for the position, out of plans given latest first. For a whole row (null): that
 * for the lot's variety, if one is, else the latest. A plan names no scheme; its class is taken to
 * be of the lot's own.
 */
export function planForLot(
  plans: readonly PlannedStretch[],
  lot: { readonly varietyId: string; readonly scheme: string | null },
  position: number | null,
): RowPlan | null {
  const fitting =
    position === null
      ? plans
      : plans.filter((plan) => plan.fromPosition <= position && position <= plan.toPosition)
  const same = position === null && fitting.find((plan) => plan.varietyId === lot.varietyId)
  const plan = same || fitting[0]
  if (plan === undefined) return null
  return {
    rowId: plan.rowId,
    varietyId: plan.varietyId,
    clone: plan.clone,
    scheme: plan.className === null ? null : lot.scheme,
    minimumClass: plan.className,
  }
}
