// What is written down when a grafted vine is looked at again, and what is still to be said of it.
import type { Draft, PhoneGraft, PhoneVine } from '../../phone.ts'

/** What one bud was seen to do; null while nobody has said, or could not see it. */
export type Fate = 'growing' | 'callused' | 'failed'
export const FATES: readonly Fate[] = ['growing', 'callused', 'failed']

/** Whether every bud is told apart, or a graft is judged as a whole. */
export type TakeManner = 'by graft' | 'by bud'

/** Fates by graft, one for each bud that was set. */
export type Seen = ReadonlyMap<string, readonly (Fate | null)[]>

/** The grafts of a vine that can be looked at, in the order in which they were made. */
export function graftsToSee(vine: Pick<PhoneVine, 'grafts'>): readonly PhoneGraft[] {
  return vine.grafts
    .filter((graft) => !graft.removed)
    .sort((one, other) => (one.graftedAt < other.graftedAt ? -1 : 1))
}

/** Nothing seen yet of any bud. */
export function nothingSeen(grafts: readonly PhoneGraft[]): Seen {
  return new Map(grafts.map((graft) => [graft.graftId, Array(graft.budCount).fill(null)]))
}

/** All buds of one graft seen alike. */
export function seenAlike(seen: Seen, graftId: string, fate: Fate): Seen {
  const buds = seen.get(graftId) ?? []
  return new Map([...seen, [graftId, buds.map(() => fate)]])
}

/** One bud seen; the same word again takes it back. */
export function seenBud(seen: Seen, graftId: string, nr: number, fate: Fate): Seen {
  const buds = seen.get(graftId) ?? []
  const next = buds.map((bud, at) => (at === nr ? (bud === fate ? null : fate) : bud))
  return new Map([...seen, [graftId, next]])
}

/** Has every bud its word? Then the vine can be saved without a further tap. */
export function allSeen(seen: Seen): boolean {
  return [...seen.values()].every((buds) => buds.every((bud) => bud !== null))
}

/** Has any bud its word? */
export function anySeen(seen: Seen): boolean {
  return [...seen.values()].some((buds) => buds.some((bud) => bud !== null))
}

/**
 * The check of one vine; grafts of which nothing was seen are left out. Null when nothing was seen
 * at all, for 0 of everything says nothing.
 * @param shootLengthMm longest shoot, whole millimetres
 */
export function takeDraft(
  vine: { rowId: string; position: number },
  seen: Seen,
  shootLengthMm: number | null,
  note: string,
): Draft | null {
  const results = [...seen]
    .map(([graftId, buds]) => ({
      graftId,
      growing: countOf(buds, 'growing'),
      callused: countOf(buds, 'callused'),
      failed: countOf(buds, 'failed'),
    }))
    .filter(({ growing, callused, failed }) => growing + callused + failed > 0)
  if (results.length === 0) return null
  return { kind: 'take.checked', body: { vine, results, shootLengthMm, note } }
}

function countOf(buds: readonly (Fate | null)[], fate: Fate): number {
  return buds.filter((bud) => bud === fate).length
}
