// Where one piece of a lot lay: a bundle, or what one account holds, apart from all the rest.
import type { SameWood } from './same-wood.ts'
import { clippedSpan, spansOf } from './wood-spans.ts'
import type { WoodMove, WoodSpan } from './wood-spans.ts'

/** An account as the books have it: a place, a bath, a holder, or unknown. */
export interface WoodAccount {
  readonly kind: string
  readonly id: string
}

/** Which wood of a lot is asked about: one bundle (null: what is loose), one account; or all. */
export interface WoodAsked {
  readonly bundleId?: string | null
  readonly account?: WoodAccount
}

/** A move of one bundle, or of loose wood (null). */
export interface PieceMove extends WoodMove {
  readonly bundleId: string | null
}

/** What moved of one lot, in order of time, and how many buds a stick of it has. */
export interface LotMoves {
  readonly moves: readonly PieceMove[]
  readonly budsPerStick: number
}

/**
 * The spans of the wood asked about and of the lots it was made from, until they were parted. A
 * lot that lies in several places has overlapping spans. Of the lot itself only the moves of the
 * bundle asked about count. For one account only the way into it counts: what happened elsewhere
 * to wood that stayed behind after wood last came into the account is left out, so that a bundle
 * in somebody’s hand is not cooled by what still lies in the cold room.
 *
 * @param wood the lot and what it was made from, by {@link sameWoodOf}
 * @param movesOf what moved of a lot; what came into the account asked about must be among it
 */
export function pieceSpans(
  lotId: string,
  wood: readonly SameWood[],
  movesOf: (lotId: string) => LotMoves | undefined,
  asked: WoodAsked = {},
): WoodSpan[] {
  return wood.flatMap((part) => {
    const told = movesOf(part.lotId)
    if (told === undefined) return []
    const { bundleId, account }: WoodAsked = part.lotId === lotId ? asked : {}
    const moves = told.moves.filter((move) => bundleId === undefined || move.bundleId === bundleId)
    const until = account === undefined ? part.untilAt : lastArrival(moves, account)
    return spansOf(moves, told.budsPerStick).flatMap((span) =>
      account !== undefined && isIn(span, account) ? [span] : clippedSpan(span, until),
    )
  })
}

/** When wood last came into the account (epoch milliseconds); never, and all spans count. */
function lastArrival(moves: readonly WoodMove[], account: WoodAccount): number {
  const times = moves.filter((move) => isIn(move, account) && move.count > 0).map(({ at }) => at)
  return times.length === 0 ? Number.POSITIVE_INFINITY : Math.max(...times)
}

const isIn = ({ kind, id }: WoodAccount, account: WoodAccount) =>
  kind === account.kind && id === account.id
