// The shares of origin that a combination would have, before it is recorded.
import { combineShares } from '#trade/lot-shares.ts'
import type { Shares } from '#trade/lot-shares.ts'
import type { Database } from '../../db/connect.ts'
import { traceLotBack } from '../trace/back.ts'
import type { OriginShare } from '../trace/back.ts'

export type Mixture = { origins: OriginShare[]; problem: string | null }

/**
 * Each first lot's exact share of a mixture of `parts`, weighed by `weight` (buds, or sticks);
 * the largest share first. `problem` tells of bad lineage, which must be mended first.
 */
export async function mixtureShares(
  db: Database,
  parts: readonly { lotId: string; weight: number }[],
): Promise<Mixture> {
  const sharesByLot = new Map<string, Shares>()
  const sourceOf = new Map<string, string | null>()
  for (const lotId of new Set(parts.map((part) => part.lotId))) {
    const traced = await traceLotBack(db, lotId)
    const own = traced.shares.find((shares) => shares.lotId === lotId)
    if (own === undefined) return { origins: [], problem: 'a lot is not known to the records' }
    if (own.problem !== null) return { origins: [], problem: own.problem }
    sharesByLot.set(lotId, new Map(own.origins.map((origin) => [origin.firstLotId, origin.share])))
    for (const { firstLotId, sourceId } of own.origins) sourceOf.set(firstLotId, sourceId)
  }
  const mixed = combineShares(
    parts.map(({ lotId, weight }) => ({
      quantity: weight,
      shares: sharesByLot.get(lotId) ?? new Map(),
    })),
  )
  const origins = [...mixed].map(([firstLotId, share]) => ({
    firstLotId,
    sourceId: sourceOf.get(firstLotId) ?? null,
    share,
  }))
  return { origins: origins.sort(byShare), problem: null }
}

function byShare({ share: one }: OriginShare, { share: other }: OriginShare): number {
  const difference = other.numerator * one.denominator - one.numerator * other.denominator
  return difference > 0n ? 1 : difference < 0n ? -1 : 0
}
