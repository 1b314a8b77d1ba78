// What a blade carries from wood to wood: how long, and what ends it. The one home of this rule.
import { MS_PER_HOUR } from './intervals.ts'
import type { Touch } from './hold-reach.ts'
import type { SameWood } from './same-wood.ts'

/**
 * How long a blade that lies unused still carries an agent, in hours, when no disinfection is
 * recorded: a working day (common practice, no source).
 */
export const BLADE_CARRIES_HOURS = 24

/** Cuts by one blade from the first to the last (epoch milliseconds); for one cut both are same. */
export interface CutSpan {
  readonly firstAt: number
  readonly lastAt: number
}

/**
 * The cuts of one blade in spells: within a spell it carries from every cut to every later one. A
 * spell ends with a disinfection, or when the blade lies unused for more than BLADE_CARRIES_HOURS.
 * A disinfection at the very moment of a cut comes before it; none may lie within a span.
 *
 * @param cuts in any order
 * @param cleanings when the blade was disinfected (epoch milliseconds), in order of time
 */
export function spellsOf<Cut extends CutSpan>(
  cuts: readonly Cut[],
  cleanings: readonly number[],
): Cut[][] {
  const spells: Cut[][] = []
  let spell: Cut[] = []
  let usedAt = Number.NEGATIVE_INFINITY
  let cleaningNr = 0
  for (const cut of [...cuts].sort((one, other) => one.firstAt - other.firstAt)) {
    while ((cleanings[cleaningNr] ?? Number.POSITIVE_INFINITY) <= usedAt) cleaningNr += 1
    const isCleaned = (cleanings[cleaningNr] ?? Number.POSITIVE_INFINITY) <= cut.firstAt
    if (isCleaned || cut.firstAt - usedAt > BLADE_CARRIES_HOURS * MS_PER_HOUR) {
      spell = []
      spells.push(spell)
    }
    spell.push(cut)
    usedAt = Math.max(usedAt, cut.lastAt)
  }
  return spells
}

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
