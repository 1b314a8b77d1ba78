// The wood that a person has scanned for one job: what of it, how much, and where it was.
import type { AccountShape } from '#wire/basics.ts'
import type { PhoneLot, PhoneStock } from '../../phone.ts'
import { heldStock, likelyAccount, wholeSticks } from '../held.ts'
import type { ScannedWood } from '../scanned-wood.ts'
import type { Portion } from './wood-drafts.ts'

/** One line of the basket: a portion, and what the phone knows to be there. */
export interface Line {
  readonly portion: Portion
  readonly known: { readonly sticks: number; readonly buds: number }
}

/** Which accounts a job takes wood from. */
export type TakesFrom = (account: AccountShape) => boolean

/** All of the scanned wood that the phone knows of, one line an account and bundle. */
export function linesOf(
  lot: PhoneLot,
  scanned: ScannedWood,
  personId: string | null,
  takesFrom: TakesFrom,
): Line[] {
  return heldStock(lot, scanned.bundleId, personId)
    .filter((stock) => takesFrom(stock.account))
    .map((stock) => lineOf(lot, stock))
    .filter(({ portion }) => portion.sticks + portion.buds > 0)
}

function lineOf(lot: PhoneLot, stock: PhoneStock): Line {
  const known = { sticks: wholeSticks(lot, stock), buds: Math.max(0, stock.buds) }
  const { account: from, bundleId } = stock
  return { portion: { lotId: lot.lotId, bundleId, from, ...known }, known }
}

/** A line for wood that the phone knows nothing of: counted by hand, taken from where it may be. */
export function unknownLine(
  lot: PhoneLot,
  scanned: ScannedWood,
  personId: string | null,
  counted: { sticks: number; buds: number },
): Line {
  const from = likelyAccount(lot, scanned.bundleId, personId)
  return { portion: { ...scanned, from, ...counted }, known: { sticks: 0, buds: 0 } }
}

/** Tells lines apart: the same wood in the same place is on the list once. */
export function keyOf({ portion }: Line): string {
  const { lotId, bundleId, from } = portion
  return [lotId, bundleId ?? '', from.kind, from.id].join(' ')
}

/** Is more taken than the phone knows of? Then a plain warning is due. */
export function isMore(
  known: { sticks: number; buds: number },
  taken: { sticks: number; buds: number },
): boolean {
  return taken.sticks > known.sticks || taken.buds > known.buds
}

/** The line with another count. */
export function recounted(line: Line, counted: { sticks: number; buds: number }): Line {
  return { ...line, portion: { ...line.portion, ...counted } }
}
