// What the phone knows about who holds how much of a lot, and what that comes to in buds.
import { NIL_ID } from '#wire/basics.ts'
import type { AccountShape } from '#wire/basics.ts'
import type { PhoneLot, PhoneParty, PhoneStock, Snapshot } from '../phone.ts'

/** Where wood stands that the phone has no account of. */
export const unknownAccount: AccountShape = { kind: 'unknown', id: NIL_ID }

/** Who besides people can have wood in hand, as in the office: no supplier, no laboratory. */
export function crews({ parties }: Pick<Snapshot, 'parties'>): readonly PhoneParty[] {
  return parties.filter(({ role }) => role === 'crew')
}

export function sameAccount(one: AccountShape, other: AccountShape): boolean {
  return one.kind === other.kind && one.id === other.id
}

/** Accounts that wood at hand can be in; sources and suppliers are where it came from. */
const atHand: readonly AccountShape['kind'][] = ['holder', 'bath', 'place', 'unknown']

/** Stock of a lot, of one bundle when told, where there is any; what one has in hand first. */
export function heldStock(
  lot: PhoneLot,
  bundleId: string | null,
  personId: string | null,
): PhoneStock[] {
  const isMine = (stock: PhoneStock) =>
    stock.account.kind === 'holder' && stock.account.id === personId
  const rank = (stock: PhoneStock) => (isMine(stock) ? -1 : atHand.indexOf(stock.account.kind))
  return lot.stock
    .filter((stock) => bundleId === null || stock.bundleId === bundleId)
    .filter((stock) => atHand.includes(stock.account.kind) && worth(lot, stock) > 0)
    .sort((one, other) => rank(one) - rank(other) || worth(lot, other) - worth(lot, one))
}

/** Who or what the wood is taken from, unless the person says otherwise. */
export function likelyAccount(
  lot: PhoneLot,
  bundleId: string | null,
  personId: string | null,
): AccountShape {
  const [first] = heldStock(lot, bundleId, personId)
  if (first !== undefined) return first.account
  return personId === null ? unknownAccount : { kind: 'holder', id: personId }
}

/** What an account holds of a bundle (null: of the loose wood). Less than none is possible. */
export function heldBy(
  lot: PhoneLot,
  account: AccountShape,
  bundleId: string | null,
): { sticks: number; buds: number } {
  const rows = lot.stock.filter(
    (stock) => sameAccount(stock.account, account) && stock.bundleId === bundleId,
  )
  return {
    sticks: rows.reduce((sum, row) => sum + row.sticks, 0),
    buds: rows.reduce((sum, row) => sum + row.buds, 0),
  }
}

/** What is left there in buds: sticks × buds on a stick + loose buds. */
export function budsLeft(lot: PhoneLot, account: AccountShape, bundleId: string | null): number {
  return worth(lot, heldBy(lot, account, bundleId))
}

/** Wood without usable buds counts by the stick, as the office counts it. */
export function worth(
  lot: Pick<PhoneLot, 'budsPerStick'>,
  held: { sticks: number; buds: number },
): number {
  return held.sticks * Math.max(1, lot.budsPerStick) + held.buds
}

/**
 * Whole sticks that can still be moved: a holder of 40 sticks and −130 buds of six to the stick
 * has opened 22 of them (130 / 6, rounded up).
 */
export function wholeSticks(
  lot: Pick<PhoneLot, 'budsPerStick'>,
  held: { sticks: number; buds: number },
): number {
  const opened = held.buds < 0 ? Math.ceil(-held.buds / Math.max(1, lot.budsPerStick)) : 0
  return Math.max(0, held.sticks - opened)
}
