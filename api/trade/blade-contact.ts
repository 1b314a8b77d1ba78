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

/** Cuts of wood of one lot. */
export interface LotCut extends CutSpan {
  readonly lotId: string
}

/**
 * The cuts of one blade in spells: within a spell it carries from every cut to every later one. A
 * spell ends with a disinfection, or when the blade lies unused for more than BLADE_CARRIES_HOURS.
 * A disinfection at the very moment of a cut comes before it. Where one falls into a span of
 * several cuts, nobody knows on which side of it they were: the span counts on both.
 *
 * @param spans in any order
 * @param cleanings when the blade was disinfected (epoch milliseconds), in order of time
 */
export function spellsOf<Cut extends CutSpan>(
  spans: readonly Cut[],
  cleanings: readonly number[],
): Cut[][] {
  const cuts = cleanings.length === 0 ? [...spans] : spans.flatMap((span) => apart(span, cleanings))
  const spells: Cut[][] = []
  let spell: Cut[] = []
  let usedAt = Number.NEGATIVE_INFINITY
  let cleaningNr = 0
  for (const cut of cuts.sort((one, other) => one.firstAt - other.firstAt)) {
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

/** The pieces of a span between the disinfections that fall into it. */
function apart<Cut extends CutSpan>(span: Cut, cleanings: readonly number[]): Cut[] {
  if (span.firstAt === span.lastAt) return [span]
  const pieces: Cut[] = []
  let { firstAt } = span
  for (const at of cleanings) {
    if (at <= firstAt || at > span.lastAt) continue
    pieces.push({ ...span, firstAt, lastAt: at - 1 })
    firstAt = at
  }
  return [...pieces, { ...span, firstAt }]
}

/** The cuts of a spell lot by lot: of each the first and the last. */
export function byLot(spell: readonly LotCut[]): LotCut[] {
  const lots = new Map<string, LotCut>()
  for (const { lotId, firstAt, lastAt } of spell) {
    const before = lots.get(lotId)
    lots.set(lotId, {
      lotId,
      firstAt: Math.min(firstAt, before?.firstAt ?? firstAt),
      lastAt: Math.max(lastAt, before?.lastAt ?? lastAt),
    })
  }
  return [...lots.values()]
}

/**
 * Held wood that a blade cut before wood of these parts, in one spell. A parent's wood met it only
 * if it did so before the part was taken.
 *
 * @param spells the cuts of each, lot by lot (see {@link byLot})
 * @param isHeld did the lot come of something held?
 */
export function metByBlade(
  parts: readonly SameWood[],
  spells: Iterable<readonly LotCut[]>,
  isHeld: (lotId: string) => boolean,
): Touch[] {
  const until = new Map(parts.map(({ lotId, untilAt }) => [lotId, untilAt]))
  const met = new Set<string>()
  for (const spell of spells) {
    const own = spell.filter(({ lotId }) => until.has(lotId))
    if (own.length === 0) continue
    for (const { lotId: otherId, firstAt } of spell) {
      if (until.has(otherId) || !isHeld(otherId)) continue
      const isMet = own.some((cut) => {
        const untilAt = until.get(cut.lotId) ?? Number.NEGATIVE_INFINITY
        return firstAt < cut.lastAt && Math.max(cut.firstAt, firstAt) < untilAt
      })
      if (isMet) met.add(otherId)
    }
  }
  return [...met].map((id) => ({ id, route: 'blade' as const }))
}
