// Each line of tonight's list with what became of it, by the wood that came into water since.
import type { KeptTonight, PhoneLot, Tonight } from '../../phone.ts'
import { inWaterOf, woodKey } from '../../snapshot/tonight.ts'
import { sameAccount, wholeSticks } from '../held.ts'
import type { Line } from '../wood/basket.ts'

export type PullLine = Tonight['lines'][number]

/** `leave`: it lay in water already and stays there. */
export type PullState = 'to pull' | 'in water' | 'leave'

export interface Pull {
  /** Tells lines apart: the same wood may go into two tanks. */
  readonly nr: number
  readonly line: PullLine
  readonly state: PullState
}

type LotOf = (lotId: string) => PhoneLot | null

/**
 * The lines in the order of the list. Nothing is noted beside the real entries: a line is done when
 * as many sticks of its wood came into water since the list was fetched as it and those of the same
 * wood before it ask for.
 */
export function pullsOf({ list, inWater }: KeptTonight, lotOf: LotOf): Pull[] {
  const now = inWaterOf(list, lotOf)
  const asked = new Map<string, number>()
  return list.lines.map((line, nr): Pull => {
    if (line.stays) return { nr, line, state: 'leave' }
    const key = woodKey(line.lotId, line.bundleId)
    const sticks = (asked.get(key) ?? 0) + line.sticks
    asked.set(key, sticks)
    const came = (now[key] ?? 0) - (inWater[key] ?? 0)
    return { nr, line, state: came >= sticks ? 'in water' : 'to pull' }
  })
}

/** The line that a tag on a bundle, or on a lot, leads to: the first that is still to be pulled. */
export function pullOf(
  pulls: readonly Pull[],
  wood: { readonly lotId: string; readonly bundleId: string | null },
): Pull | null {
  const ofLot = pulls.filter(({ line }) => line.lotId === wood.lotId)
  const same = ofLot.filter(({ line }) => line.bundleId === wood.bundleId)
  return same.find(({ state }) => state === 'to pull') ?? same[0] ?? null
}

/** What the bath's list begins with: the sticks asked for, from where this phone knows them. */
export function woodOfPull({ lotId, bundleId, ...line }: PullLine, lot: PhoneLot): Line {
  const told = { kind: line.accountKind, id: line.accountId } as Line['portion']['from']
  const dry = lot.stock.filter((stock) => {
    return stock.bundleId === bundleId && stock.account.kind !== 'bath' && stock.sticks > 0
  })
  const stock = dry.find(({ account }) => sameAccount(account, told)) ?? dry[0]
  if (stock === undefined) {
    const portion = { lotId, bundleId, from: told, sticks: line.sticks, buds: 0 }
    return { portion, known: { sticks: 0, buds: 0 } }
  }
  const there = wholeSticks(lot, stock)
  const sticks = there > 0 ? Math.min(line.sticks, there) : line.sticks
  const portion = { lotId, bundleId, from: stock.account, sticks, buds: 0 }
  return { portion, known: { sticks: there, buds: Math.max(0, stock.buds) } }
}
