// Writes what is to be recorded when chosen wood is moved, handed over, soaked or thrown away.
import { NIL_ID } from '#wire/basics.ts'
import type { AccountShape } from '#wire/basics.ts'
import type { Draft } from '../journal/desk.ts'
import { woodOf } from './choose-wood.ts'
import type { ChosenWood } from './choose-wood.ts'

/** Account of wood whose place nobody has recorded. */
export const unknownAccount: AccountShape = { kind: 'unknown', id: NIL_ID }

/**
 * Wood comes to lie in a place: out of a bath as the end of its soak, back from a holder as a
 * return, from anywhere else as a new stay. `note` is kept with a return.
 */
export function moveDrafts(
  chosen: readonly ChosenWood[],
  placeId: string,
  at: Date,
  note = '',
): Draft[] {
  const to: AccountShape = { kind: 'place', id: placeId }
  return eachWood(chosen, (wood, from): Draft => {
    if (from.kind === 'bath') return soakEnded(wood, from.id, to, at)
    if (from.kind === 'holder') {
      const body = { wood, fromHolderId: from.id, placeId, note }
      return { kind: 'wood.returned', body, occurredAt: at }
    }
    return { kind: 'stay.began', body: { wood, from, placeId }, occurredAt: at }
  })
}

/** Wood passes to a crew or person; straight out of a bath it ends its soak there. */
export function handOverDrafts(
  chosen: readonly ChosenWood[],
  toHolderId: string,
  note: string,
  at: Date,
): Draft[] {
  return eachWood(chosen, (wood, from): Draft => {
    if (from.kind === 'bath') {
      return soakEnded(wood, from.id, { kind: 'holder', id: toHolderId }, at)
    }
    return { kind: 'wood.handed_over', body: { wood, from, toHolderId, note }, occurredAt: at }
  })
}

/** Wood goes into a bath. */
export function soakDrafts(chosen: readonly ChosenWood[], bathId: string, at: Date): Draft[] {
  return eachWood(chosen, (wood, from): Draft => ({
    kind: 'soak.began',
    body: { wood, from, bathId },
    occurredAt: at,
  }))
}

/** Wood comes out of its bath to `to`: a place, a holder, or nowhere recorded. */
export function takeOutDrafts(chosen: readonly ChosenWood[], to: AccountShape, at: Date): Draft[] {
  return eachWood(chosen, (wood, from) => soakEnded(wood, from.id, to, at))
}

/**
 * Wood is thrown away. What lies in a bath is first taken out of the water, so that its soak has
 * an end; `tankOf` gives the tank's place for a bath.
 */
export function discardDrafts(
  chosen: readonly ChosenWood[],
  reason: string,
  at: Date,
  tankOf: (bathId: string) => AccountShape,
): Draft[] {
  return eachWood(chosen, (wood, from): Draft[] => {
    if (from.kind !== 'bath') {
      return [{ kind: 'wood.discarded', body: { wood, from, reason }, occurredAt: at }]
    }
    const tank = tankOf(from.id)
    return [
      soakEnded(wood, from.id, tank, at),
      { kind: 'wood.discarded', body: { wood, from: tank, reason }, occurredAt: at },
    ]
  }).flat()
}

type Wood = ReturnType<typeof woodOf>[number]

function eachWood<T>(
  chosen: readonly ChosenWood[],
  write: (wood: Wood, from: AccountShape) => T,
): T[] {
  return chosen.flatMap((choice) =>
    woodOf(choice).map((wood) => write(wood, choice.position.account)),
  )
}

function soakEnded(wood: Wood, bathId: string, to: AccountShape, at: Date): Draft {
  return { kind: 'soak.ended', body: { wood, bathId, to }, occurredAt: at }
}
