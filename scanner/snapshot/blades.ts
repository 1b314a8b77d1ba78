// What held wood the blades carry from, as far as this phone can know, its own entries counted in.
import { byLot, spellsOf } from '#trade/blade-contact.ts'
import type { LotCut } from '#trade/blade-contact.ts'
import { routesOf } from '#trade/health-agents.ts'
import type { HoldOn } from '#trade/hold-reach.ts'
import type { Laid } from './laid.ts'

/** A cut, or several of a stretch of time, by one blade. */
interface BladeCut extends LotCut {
  readonly blade: string
}

/**
 * The spells of blades in which held wood was cut. The server told those that it knows to the
 * moment; own cuts and disinfections that came after are exact as well. Where an own entry bears on
 * cuts that the records tell of by the day alone (a hold placed here, a cut told of late, a
 * disinfection taken back), the day counts as a whole: the phone rather stops too much than too
 * little, until the server has counted the entry in.
 *
 * @param cameOf every lot and source that a lot came of, itself included
 */
export function foulSpells(laid: Laid, cameOf: (lotId: string) => Iterable<string>): LotCut[][] {
  const on = carriedFrom(laid.holds)
  if (on.size === 0) return []
  const isHeld = asked((lotId) => [...cameOf(lotId)].some((id) => on.has(id)))
  const { blades } = laid
  const told = toldCuts(laid)
  const byDay = dayCuts(laid)
  const own = blades.cuts.map(({ at, ...cut }) => ({ ...cut, firstAt: at, lastAt: at }))
  const rough = roughBlades(laid, [...told, ...byDay], isHeld)
  const cuts = [...told, ...own, ...byDay.filter(({ blade }) => rough.has(blade))]
  const spells: LotCut[][] = []
  for (const [blade, ofBlade] of byBlade(cuts)) {
    const cleanings = blades.cleanings.flatMap((one) => (one.blade === blade ? one.at : []))
    if (!rough.has(blade)) cleanings.push(...toldCleanings(laid, blade))
    for (const spell of spellsOf(
      ofBlade,
      cleanings.sort((a, b) => a - b),
    )) {
      if (spell.some(({ lotId }) => isHeld(lotId))) spells.push(byLot(spell))
    }
  }
  return spells
}

/** What holds are on whose agent passes from wood to wood on a blade. */
function carriedFrom(holds: readonly HoldOn[]): Set<string> {
  return new Set(holds.flatMap(({ agent, onId }) => (routesOf(agent).has('blade') ? onId : [])))
}

/** Cuts in the spells that the server told of. */
function toldCuts({ known }: Laid): BladeCut[] {
  return known.head.holds.spells.flatMap(({ blade, cuts }) =>
    cuts.map(([lotId, firstAt, lastAt]) => ({ blade, lotId, firstAt, lastAt })),
  )
}

function toldCleanings({ known }: Laid, blade: string): number[] {
  return known.head.holds.spells.flatMap((spell) =>
    spell.blade === blade ? (spell.cleanedAt ?? []) : [],
  )
}

/** Cuts by the day, of every lot that the phone holds. */
function dayCuts({ lots }: Laid): BladeCut[] {
  return [...lots.values()].flatMap(({ lotId, cuts }) =>
    cuts.map(([blade, firstAt, lastAt]) => ({ blade, lotId, firstAt, lastAt })),
  )
}

/**
 * Blades of which the told spells are not the whole truth any more: one cut wood that the server
 * did not know to be held, an own cut is not its last, or a disinfection of it was withdrawn.
 */
function roughBlades(
  laid: Laid,
  recorded: readonly BladeCut[],
  isHeld: (lotId: string) => boolean,
): Set<string> {
  const rough = new Set(laid.blades.uncleaned)
  const { holds, heldWood } = laid.known.head.holds
  const on = carriedFrom(holds)
  const isTold = new Set(
    heldWood.flatMap(({ lotId, cameOf }) => (cameOf.some((id) => on.has(id)) ? lotId : [])),
  )
  const lastAt = new Map<string, number>()
  for (const cut of recorded) {
    if (!isTold.has(cut.lotId) && isHeld(cut.lotId)) rough.add(cut.blade)
    lastAt.set(cut.blade, Math.max(cut.lastAt, lastAt.get(cut.blade) ?? cut.lastAt))
  }
  for (const { blade, at } of laid.blades.cuts) {
    if (at < (lastAt.get(blade) ?? Number.NEGATIVE_INFINITY)) rough.add(blade)
  }
  return rough
}

function byBlade(cuts: readonly BladeCut[]): Map<string, BladeCut[]> {
  const blades = new Map<string, BladeCut[]>()
  for (const cut of cuts) {
    const ofBlade = blades.get(cut.blade)
    if (ofBlade === undefined) blades.set(cut.blade, [cut])
    else ofBlade.push(cut)
  }
  return blades
}

/** Asks once for each lot. */
function asked(ask: (lotId: string) => boolean): (lotId: string) => boolean {
  const answers = new Map<string, boolean>()
  return (lotId) => {
    const answer = answers.get(lotId) ?? ask(lotId)
    answers.set(lotId, answer)
    return answer
  }
}
