// Wood that this phone took over, remembered until the records say so too.
import { z } from 'zod'
import { Id } from '#wire/basics.ts'
import type { AccountShape } from '#wire/basics.ts'

/** Most handovers remembered; older ones are in the records long since. */
const TAKEN_LIMIT = 50

/** Where it is kept. */
export const TAKEN_KEY = 'wood.taken'

export const TakenOver = z
  .array(z.strictObject({ lotId: Id, bundleId: Id.nullable(), holderId: Id }))
  .max(TAKEN_LIMIT)
export type TakenOver = z.infer<typeof TakenOver>

/** One more, the newest first. */
export function withTaken(taken: TakenOver, fresh: TakenOver[number]): TakenOver {
  return [fresh, ...taken].slice(0, TAKEN_LIMIT)
}

/**
 * Whose hands the wood is in. The giver's entry may not have reached this phone yet; then its
 * records still show the wood in its old place, and the handover that was scanned knows better.
 */
export function handOf(
  taken: TakenOver,
  wood: { lotId: string; bundleId: string | null; from: AccountShape },
): AccountShape {
  if (wood.from.kind === 'holder') return wood.from
  const own = taken.find(
    ({ lotId, bundleId }) => lotId === wood.lotId && bundleId === wood.bundleId,
  )
  return own === undefined ? wood.from : { kind: 'holder', id: own.holderId }
}
