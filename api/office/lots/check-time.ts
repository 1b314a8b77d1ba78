// Refuses a check of wood at a time before there was that wood.
import { writtenTime } from '#trade/zone-time.ts'
import type { LotIdentity } from '../../lots/lot-detail.ts'
import type { FieldProblem } from '../../platform/errors.ts'

/** Times are compared by the minute; the problem is at the field `when`. */
export function beforeCutProblem(lot: LotIdentity, at: Date, zone: string): FieldProblem[] {
  const minute = (time: Date) => Math.floor(time.getTime() / 60_000)
  if (minute(at) >= minute(lot.occurred_at)) return []
  const since = writtenTime(lot.occurred_at.getTime(), zone)
  return [{ field: 'when', message: `lot ${lot.reference} is of ${since}: give a later time` }]
}
