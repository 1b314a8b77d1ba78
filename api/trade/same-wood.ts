// Which other lots' wood a lot holds: what it was parted from or combined of, and until when.

/** A part of another lot's wood: all that was in `lotId` until `untilAt` (epoch milliseconds). */
export interface SameWood {
  readonly lotId: string
  readonly untilAt: number
}

/**
 * The lot itself and the lots it was parted from or combined of. A parent counts until the last of
 * its parts in question was taken from it. The longest way wins, and times come from a finite set,
 * so that a circle in bad data ends.
 *
 * @param madeAt when a lot was made (epoch milliseconds); undefined when no entry made it
 */
export function sameWoodOf(
  lotId: string,
  madeAt: (lotId: string) => number | undefined,
  parentsOf: (lotId: string) => readonly string[],
): SameWood[] {
  const until = new Map([[lotId, Number.POSITIVE_INFINITY]])
  const waiting = [lotId]
  for (let id = waiting.pop(); id !== undefined; id = waiting.pop()) {
    const untilAt = Math.min(until.get(id) ?? 0, madeAt(id) ?? Number.POSITIVE_INFINITY)
    for (const parent of parentsOf(id)) {
      if ((until.get(parent) ?? Number.NEGATIVE_INFINITY) >= untilAt) continue
      until.set(parent, untilAt)
      waiting.push(parent)
    }
  }
  return [...until].map(([id, untilAt]) => ({ lotId: id, untilAt }))
}
