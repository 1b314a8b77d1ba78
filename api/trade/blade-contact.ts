// Which other wood a knife carried something from: what it cut within a day before.
import { MS_PER_HOUR } from './intervals.ts'
import type { Touch } from './hold-reach.ts'
import type { SameWood } from './same-wood.ts'

/**
 * How long after it cut held wood a knife still carries the agent, in hours, when no disinfection
 * is recorded: a working day (common practice, no source).
 */
export const BLADE_CARRIES_HOURS = 24

/** The first and the last cut of wood by one knife on one day in UTC (epoch milliseconds). */
export interface CutDay {
  readonly knifeId: string
  readonly firstAt: number
  readonly lastAt: number
}

/**
 * Wood of other lots that was cut with the same knife up to BLADE_CARRIES_HOURS before wood of
 * these parts. A parent's wood met the other lot only if it did so before the part was taken.
 *
 * @param cutsOf days on which wood of a part was cut
 * @param others lots that could have passed something on, each with its cuts: knife and time
 */
export function metByBlade(
  parts: readonly SameWood[],
  cutsOf: (lotId: string) => readonly CutDay[],
  others: Iterable<readonly [lotId: string, cuts: readonly (readonly [string, number])[]]>,
): Touch[] {
  const own = new Set(parts.map(({ lotId }) => lotId))
  const met: Touch[] = []
  for (const [otherId, cuts] of others) {
    if (own.has(otherId)) continue
    const isMet = parts.some(({ lotId, untilAt }) => {
      const times = cutsOf(lotId).flatMap((day) => cuts.flatMap((cut) => metAt(day, cut)))
      return times.length > 0 && Math.min(...times) < untilAt
    })
    if (isMet) met.push({ id: otherId, route: 'blade' })
  }
  return met
}

function metAt(day: CutDay, [knifeId, at]: readonly [string, number]): number[] {
  const isSame = knifeId === day.knifeId && at < day.lastAt
  const isRecent = at > day.firstAt - BLADE_CARRIES_HOURS * MS_PER_HOUR
  return isSame && isRecent ? [Math.max(day.firstAt, at)] : []
}
