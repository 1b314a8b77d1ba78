// Which vine comes next when a row is walked, and what is passed over on the way.
import type { PhoneRow, PhoneVine } from '../phone.ts'

/** Up counts positions from the row's head on; down comes back towards it. */
export type Step = 1 | -1
/** The end of the row from which a person counts the vines. */
export type CountedFrom = 'head' | 'far'

/** Where the walk stands: a vine, and what was passed over to get there; null at the row's end. */
export interface Reached {
  readonly position: number | null
  readonly passedOver: readonly number[]
}

/** The first vine from `from` on (itself included) that `wanted` agrees to. */
export function reach(
  row: Pick<PhoneRow, 'positionCount'>,
  from: number,
  step: Step,
  wanted: (position: number) => boolean,
): Reached {
  const passedOver: number[] = []
  for (let position = from; position >= 1 && position <= row.positionCount; position += step) {
    if (wanted(position)) return { position, passedOver }
    passedOver.push(position)
  }
  return { position: null, passedOver }
}

/** Is there a vine? What the phone has not heard of is taken to stand. */
export function standsIn(vines: readonly PhoneVine[]): (position: number) => boolean {
  const missing = new Set(vines.filter((vine) => vine.missing).map((vine) => vine.position))
  return (position) => !missing.has(position)
}

/** Is there a graft to look at? */
export function graftedIn(vines: readonly PhoneVine[]): (position: number) => boolean {
  const grafted = new Set(
    vines
      .filter((vine) => !vine.missing && vine.grafts.some((graft) => !graft.removed))
      .map((vine) => vine.position),
  )
  return (position) => grafted.has(position)
}

/** Is there a tie to release? */
export function tiedIn(vines: readonly PhoneVine[]): (position: number) => boolean {
  const tied = new Set(
    vines
      .filter((vine) => !vine.missing)
      .filter((vine) => vine.grafts.some((graft) => !graft.removed && !graft.tieReleased))
      .map((vine) => vine.position),
  )
  return (position) => tied.has(position)
}

/** The vine that the phone knows at a position, or null. */
export function vineAt(vines: readonly PhoneVine[], position: number): PhoneVine | null {
  return vines.find((vine) => vine.position === position) ?? null
}

/** A position as the person counts it; the same sum leads back. */
export function shownNumber(
  row: Pick<PhoneRow, 'positionCount'>,
  position: number,
  countedFrom: CountedFrom,
): number {
  return countedFrom === 'head' ? position : row.positionCount + 1 - position
}

/** The first position of a walk: the end that it starts at. */
export function firstPosition(row: Pick<PhoneRow, 'positionCount'>, step: Step): number {
  return step === 1 ? 1 : row.positionCount
}

/** Runs of positions as a person says them, like `7` and `21–22`. */
export function runs(positions: readonly number[]): string[] {
  const ordered = [...new Set(positions)].sort((one, other) => one - other)
  const found: [number, number][] = []
  for (const position of ordered) {
    const last = found.at(-1)
    if (last !== undefined && last[1] === position - 1) last[1] = position
    else found.push([position, position])
  }
  return found.map(([from, to]) => (from === to ? `${from}` : `${from}\u2013${to}`))
}
