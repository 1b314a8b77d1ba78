// Tells apart the vines that stood at one position, one after another.

/** A vine planted at, or removed from, a position. Times are epoch milliseconds. */
export type VineChange = {
  entryId: string
  what: 'planted' | 'removed'
  at: number
  plantedYear: number | null
  reason: string
}

/**
 * One vine's time at its position. `beganAt` is null where it stood before the record begins;
 * `plantedBy` is null where no entry tells of its planting.
 */
export type VineLife = {
  beganAt: number | null
  plantedBy: VineChange | null
  endedAt: number | null
  endedBy: VineChange | null
}

/**
 * The vines of a position, earliest first. A planting ends the life before it even when nobody
 * recorded the removal. `seenAt` is the latest time at which anything else (a layout, a graft)
 * shows a vine there: later than a removal, it means that another vine stands there now.
 */
export function vineLives(changes: readonly VineChange[], seenAt: number | null): VineLife[] {
  const lives: VineLife[] = []
  let current: VineLife = { beganAt: null, plantedBy: null, endedAt: null, endedBy: null }
  for (const change of [...changes].sort(byTime)) {
    if (change.what === 'removed') {
      if (current.endedAt === null) current = { ...current, endedAt: change.at, endedBy: change }
      continue
    }
    const ended = { ...current, endedAt: current.endedAt ?? change.at }
    lives.push(current.endedAt === null ? { ...ended, endedBy: change } : ended)
    current = { beganAt: change.at, plantedBy: change, endedAt: null, endedBy: null }
  }
  lives.push(current)
  if (current.endedAt !== null && seenAt !== null && seenAt > current.endedAt) {
    lives.push({ beganAt: current.endedAt, plantedBy: null, endedAt: null, endedBy: null })
  }
  return lives
}

/** The number of the life, in `lives`, that something at an instant belongs to. */
export function lifeAt(lives: readonly VineLife[], at: number): number {
  const later = lives.findIndex((life) => life.beganAt !== null && life.beganAt > at)
  return later === -1 ? lives.length - 1 : Math.max(0, later - 1)
}

function byTime(one: VineChange, other: VineChange): number {
  return one.at - other.at || (one.entryId < other.entryId ? -1 : 1)
}
