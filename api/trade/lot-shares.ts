// Which origins a lot is made of, and in what exact shares, through every split and combination.
import { addFractions, fraction, multiplyFractions, ONE, ZERO } from './fractions.ts'
import type { Fraction } from './fractions.ts'

/** Each first lot and its share of the whole; the shares add up to exactly 1. */
export type Shares = ReadonlyMap<string, Fraction>

/** A lot that wood came from, and how many pieces (sticks, or buds) came from it. */
export interface ParentPart {
  readonly lotId: string
  readonly quantity: number
}

export type ParentsByLot = ReadonlyMap<string, readonly ParentPart[]>

export type SharesResult =
  | { readonly ok: true; readonly shares: Shares }
  | {
      readonly ok: false
      /** `cycle`: a lot is its own ancestor. `quantity`: parts are no whole positive numbers. */
      readonly problem: 'cycle' | 'quantity'
      /** The lots around the cycle, or the one lot whose parts are wrong. */
      readonly lotIds: readonly string[]
      readonly message: string
    }

/**
 * The shares of origin of one lot. A lot without recorded parents is its own origin. Each lot is
 * worked out once, however many ways lead to it; pass the same `memo` to share the work between
 * calls on the same parents. Bad data give a marked result, never an endless walk.
 */
export function sharesOf(
  lotId: string,
  parentsByLot: ParentsByLot,
  memo: Map<string, Shares> = new Map(),
): SharesResult {
  const path: Visit[] = [{ lotId, next: 0 }]
  const onPath = new Set([lotId])
  for (let visit = path.at(-1); visit !== undefined; visit = path.at(-1)) {
    const parents = parentsByLot.get(visit.lotId) ?? []
    const parent = memo.has(visit.lotId) ? undefined : parents[visit.next]
    if (parent === undefined) {
      if (!memo.has(visit.lotId))
        memo.set(visit.lotId, sharesFromParents(visit.lotId, parents, memo))
      path.pop()
      onPath.delete(visit.lotId)
      continue
    }
    visit.next += 1
    if (!isPositiveWhole(parent.quantity)) return badQuantity(visit.lotId, parent)
    if (onPath.has(parent.lotId)) return cycleFound(path, parent.lotId)
    if (memo.has(parent.lotId)) continue
    path.push({ lotId: parent.lotId, next: 0 })
    onPath.add(parent.lotId)
  }
  return { ok: true, shares: memo.get(lotId) ?? new Map([[lotId, ONE]]) }
}

/**
 * The shares of a mixture: each part counts by its number of pieces.
 *
 * @throws RangeError when there is no part, or a quantity is no positive whole number
 */
export function combineShares(
  parts: readonly { readonly quantity: number; readonly shares: Shares }[],
): Shares {
  if (parts.length === 0) throw new RangeError('a mixture needs at least one part')
  const wrong = parts.find((part) => !isPositiveWhole(part.quantity))
  if (wrong !== undefined) {
    throw new RangeError(`a part must be a positive whole number of pieces, not ${wrong.quantity}`)
  }
  const total = parts.reduce((sum, part) => sum + BigInt(part.quantity), 0n)
  const combined = new Map<string, Fraction>()
  for (const part of parts) {
    const weight = fraction(BigInt(part.quantity), total)
    for (const [originId, share] of part.shares) {
      const before = combined.get(originId) ?? ZERO
      combined.set(originId, addFractions(before, multiplyFractions(weight, share)))
    }
  }
  return combined
}

interface Visit {
  readonly lotId: string
  /** Which parent to look at next. */
  next: number
}

function sharesFromParents(
  lotId: string,
  parents: readonly ParentPart[],
  memo: ReadonlyMap<string, Shares>,
): Shares {
  if (parents.length === 0) return new Map([[lotId, ONE]])
  return combineShares(
    parents.map((parent) => {
      const shares = memo.get(parent.lotId)
      if (shares === undefined) throw new Error(`shares of ${parent.lotId} are not worked out yet`)
      return { quantity: parent.quantity, shares }
    }),
  )
}

function isPositiveWhole(quantity: number): boolean {
  return Number.isSafeInteger(quantity) && quantity > 0
}

function badQuantity(lotId: string, parent: ParentPart): SharesResult {
  const message =
    `lot ${lotId} has ${parent.quantity} pieces from lot ${parent.lotId}; withdraw that entry ` +
    'and record a positive whole number'
  return { ok: false, problem: 'quantity', lotIds: [lotId], message }
}

function cycleFound(path: readonly Visit[], lotId: string): SharesResult {
  const start = path.findIndex((visit) => visit.lotId === lotId)
  const lotIds = path.slice(start).map((visit) => visit.lotId)
  const message =
    `lot ${lotId} is its own ancestor (${[...lotIds, lotId].join(' from ')}); withdraw the ` +
    'split or combination that is wrong'
  return { ok: false, problem: 'cycle', lotIds, message }
}
