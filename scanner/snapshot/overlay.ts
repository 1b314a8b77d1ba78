// Which of this phone’s own entries the records do not hold yet, and how they are laid over them.
import { overlayTaken, overlayWood } from './overlay-lots.ts'
import type { Sign } from './overlay-lots.ts'
import { overlayVines } from './overlay-rows.ts'
import { statedBy } from './own-facts.ts'
import type { Stated } from './own-facts.ts'
import type { OwnEntry } from '../snapshot-source.ts'
import { laidOf } from './laid.ts'
import type { Laid } from './laid.ts'
import type { Known } from './known.ts'

/**
 * The records with the own entries laid over them that they do not hold; entries in the order in
 * which they were written, one without a journal index held by no records. A withdrawn entry counts
 * nowhere: one that the records hold is taken off again. Nothing handed in is changed.
 */
export function overlaid(known: Known, queued: readonly OwnEntry[]): Laid {
  const laid = laidOf(known)
  const withdrawals = new Map<string, OwnEntry[]>()
  for (const one of queued) {
    if (one.kind !== 'entry.withdrawn') continue
    const { entryId } = one.body
    withdrawals.set(entryId, [...(withdrawals.get(entryId) ?? []), one])
  }
  for (const one of queued) if (one.kind === 'wood.handed_over') laid.handovers.add(one.id)
  for (const one of queued) lay(laid, one, withdrawals.get(one.id) ?? [])
  return laid
}

/** Lays one new entry, which withdraws nothing, over what is laid already. */
export function layOne(laid: Laid, queued: OwnEntry): void {
  if (queued.kind === 'wood.handed_over') laid.handovers.add(queued.id)
  lay(laid, queued, [])
}

function lay(laid: Laid, one: OwnEntry, withdrawals: readonly OwnEntry[]): void {
  const stated = statedBy(one)
  const at = Date.parse(one.occurredAt)
  const { head } = laid.known
  const signIn = (next: number): Sign | null => {
    const isHeld = holds(next, one)
    if (withdrawals.length === 0) return isHeld ? null : 1
    const isTakenOff = withdrawals.some((withdrawal) => holds(next, withdrawal))
    return isHeld && !isTakenOff ? -1 : null
  }
  const sign = signIn(head.next)
  if (sign !== null) {
    overlayWood(laid, stated, at, sign)
    const { taken } = stated
    if (sign === 1 && taken !== undefined) overlayTaken(laid, taken, at)
    overlayBlades(laid, stated, at, sign)
  }
  const signInRow = signIn(nextOfRow(laid, stated))
  if (signInRow !== null) overlayVines(laid, one.id, stated, at, signInRow)
}

/** A cut that was withdrawn may have been one all the same: what the records say of it stands. */
function overlayBlades({ blades }: Laid, stated: Stated, at: number, sign: Sign): void {
  const { graft, cleanedBlade: blade } = stated
  if (graft !== undefined && sign === 1) {
    blades.cuts.push({ blade: graft.blade, lotId: graft.lotId, at })
  }
  if (blade === undefined) return
  if (sign === 1) blades.cleanings.push({ blade, at })
  else blades.uncleaned.add(blade)
}

/** Do records that count entries below `next` in hold this one? */
function holds(next: number, { journalIndex }: OwnEntry): boolean {
  return journalIndex !== null && journalIndex < next
}

/** Rows are counted in block by block. */
function nextOfRow(laid: Laid, stated: Stated): number {
  const rowId =
    stated.graft?.rowId ??
    stated.skip?.rowId ??
    stated.tie?.rowId ??
    stated.checks?.[0]?.rowId ??
    (stated.removedGraft === undefined ? undefined : laid.rowOfGraft.get(stated.removedGraft))
  const blockId = rowId === undefined ? undefined : laid.rows.get(rowId)?.blockId
  const block = blockId === undefined ? undefined : laid.known.blocks.get(blockId)
  return block?.next ?? laid.known.head.next
}
