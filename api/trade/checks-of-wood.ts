// Which checks stand for a lot: its own, or those of the lots that its wood came of.
import { latestChecks } from './latest-checks.ts'
import type { CheckRecords } from './latest-checks.ts'
import { worstChecks } from './wood-checks.ts'
import type { WoodChecks } from './wood-checks.ts'

/** What is known of lots; each answers for any lot, also for one of which nothing is known. */
export interface CheckedLots {
  readonly recordsOf: (lotId: string) => CheckRecords | undefined
  /** Lots that it was parted from or combined of, in any order. */
  readonly parentsOf: (lotId: string) => readonly string[]
  /** When a lot was made (epoch milliseconds); undefined when no entry made it. */
  readonly madeAt: (lotId: string) => number | undefined
}

/**
 * The latest checks of a lot. One without a check of its own of some sort has those of the lots it
 * was parted from or combined of, until then: the worst of them.
 */
export function checksOfWood(lotId: string, lots: CheckedLots): WoodChecks {
  return checksUntil(lotId, Number.POSITIVE_INFINITY, new Set([lotId]), lots)
}

function checksUntil(
  lotId: string,
  untilAt: number,
  seen: ReadonlySet<string>,
  lots: CheckedLots,
): WoodChecks {
  const madeAt = lots.madeAt(lotId) ?? 0
  const own = latestChecks(lots.recordsOf(lotId) ?? nothing, madeAt, untilAt)
  const before = lots.parentsOf(lotId).filter((id) => !seen.has(id))
  if (before.length === 0) return own
  const inherited = worstChecks(
    [...before].sort().map((id) => checksUntil(id, madeAt, new Set([...seen, id]), lots)),
  )
  return {
    buds: own.buds ?? inherited.buds,
    cambium: own.cambium ?? inherited.cambium,
    moisture: own.moisture ?? inherited.moisture,
  }
}

const nothing: CheckRecords = { viability: [], moisture: [] }
