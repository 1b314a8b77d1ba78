// Which of this phone’s own entries the records do not hold yet, and how they are laid over them.
import { overlayCut, overlayWood } from './overlay-lots.ts'
import type { Sign } from './overlay-lots.ts'
import { overlayVines } from './overlay-rows.ts'
import { statedBy } from './own-facts.ts'
import type { OwnEntry, Stated } from './own-facts.ts'
import { laidOf } from './laid.ts'
import type { Laid } from './laid.ts'
import type { Known } from './known.ts'

/** An own entry with where it stands; one that the server set aside counts nowhere. */
export interface QueuedEntry {
  readonly entry: OwnEntry
  readonly state: 'unsent' | 'acknowledged' | 'set aside'
  /** Its index in the journal; null when it is not known. */
  readonly journalIndex: number | null
  /** Milliseconds since 1970 by this phone’s clock, when the server took it in; null before. */
  readonly answeredAtMs: number | null
}

/**
 * The records with the own entries laid over them that they do not hold; entries in the order in
 * which they were written. A withdrawn entry counts nowhere: one that the records hold is taken
 * off again. Nothing handed in is changed.
 */
export function overlaid(known: Known, queued: readonly QueuedEntry[]): Laid {
  const laid = laidOf(known)
  const counting = queued.filter(({ state }) => state !== 'set aside')
  const withdrawals = new Map<string, QueuedEntry>()
  for (const one of counting) {
    if (one.entry.kind === 'entry.withdrawn') withdrawals.set(one.entry.body.entryId, one)
  }
  for (const one of counting) {
    const withdrawal = withdrawals.get(one.entry.id)
    lay(laid, one, withdrawal)
  }
  return laid
}

/** Lays one new entry, which withdraws nothing, over what is laid already. */
export function layOne(laid: Laid, queued: QueuedEntry): void {
  lay(laid, queued, undefined)
}

function lay(laid: Laid, one: QueuedEntry, withdrawal: QueuedEntry | undefined): void {
  const { entry } = one
  const stated = statedBy(entry)
  const at = Date.parse(entry.occurredAt)
  const { head } = laid.known
  const signIn = (next: number): Sign | null => {
    const isHeld = holds(next, head.askedAtMs, one)
    if (withdrawal === undefined) return isHeld ? null : 1
    return isHeld && !holds(next, head.askedAtMs, withdrawal) ? -1 : null
  }
  const sign = signIn(head.next)
  if (sign !== null) {
    overlayWood(laid, stated, at, sign)
    const { graft } = stated
    if (sign === 1 && graft !== undefined && graft.knifeId !== null) {
      overlayCut(laid, graft.lotId, graft.knifeId, at)
    }
  }
  const signInRow = signIn(nextOfRow(laid, stated))
  if (signInRow !== null) overlayVines(laid, entry.id, stated, at, signInRow)
}

/**
 * Do records that count entries below `next` in hold this one? Where the server did not tell its
 * index, they do when they were asked for after it had been taken in.
 */
function holds(next: number, askedAtMs: number, one: QueuedEntry): boolean {
  if (one.state !== 'acknowledged') return false
  if (one.journalIndex !== null) return one.journalIndex < next
  return one.answeredAtMs !== null && one.answeredAtMs <= askedAtMs
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
