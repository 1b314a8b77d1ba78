// When and from which sources wood was cut, when it may be of several cuts.
import type { KnownLotFacts, SourceFacts, StandingChange } from './lot-facts.ts'

/** A source with its standings, and the block that it stands in. */
export interface SourceStandings {
  readonly parentId: string | null
  readonly standings: readonly StandingChange[]
}

/** How a lot came to be; `at` in epoch milliseconds. */
export interface LotOrigin {
  readonly madeBy: string
  readonly at: number
  readonly sourceId: string | null
}

/**
 * When and from what wood was cut that is of these lots (null for one that no entry made). Wood
 * combined of several cuts is as old as the oldest of them, and its age is unknown when that of a
 * part is. Sources and the blocks they stand in are named once for each time of cutting.
 */
export function originsOf(
  lots: readonly (LotOrigin | null)[],
  sourceOf: (sourceId: string) => SourceStandings | undefined,
): Pick<KnownLotFacts, 'cutAt' | 'receivedAt' | 'sources' | 'originUnknown'> {
  const cuts: (number | null)[] = []
  const received: number[] = []
  const found = new Map<string, SourceFacts>()
  const add = (sourceId: string, cutAt: number | null) => {
    const source = sourceOf(sourceId)
    found.set(`${sourceId} ${cutAt}`, { sourceId, standings: source?.standings ?? [], cutAt })
    return source?.parentId ?? null
  }
  let originUnknown = false
  for (const lot of lots) {
    if (lot === null) {
      originUnknown = true
      cuts.push(null)
    } else if (lot.madeBy === 'cut' || lot.madeBy === 'received') {
      const cutAt = lot.madeBy === 'cut' ? lot.at : null
      cuts.push(cutAt)
      if (cutAt === null) received.push(lot.at)
      if (lot.sourceId === null) originUnknown = true
      else {
        const parentId = add(lot.sourceId, cutAt)
        if (parentId !== null) add(parentId, cutAt)
      }
    }
  }
  const known = cuts.filter((cutAt): cutAt is number => cutAt !== null)
  return {
    cutAt: known.length > 0 && known.length === cuts.length ? Math.min(...known) : null,
    receivedAt: received.length > 0 ? Math.min(...received) : null,
    sources: [...found.values()],
    originUnknown,
  }
}
