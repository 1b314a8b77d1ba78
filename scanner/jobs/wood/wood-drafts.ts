// What is written down when wood is moved, soaked, handed over, brought back or thrown away.
import type { AccountShape, WoodShape } from '#wire/basics.ts'
import type { Draft } from '../../phone.ts'

/** Some of a lot, and who or what has it. Counts may be 0, but not both. */
export interface Portion {
  readonly lotId: string
  readonly bundleId: string | null
  readonly from: AccountShape
  readonly sticks: number
  readonly buds: number
}

/** A portion as entries state it: sticks and buds apart. */
export function woodOf({ lotId, bundleId, sticks, buds }: Portion): WoodShape[] {
  return [
    ...(sticks > 0 ? [{ lotId, bundleId, unit: 'stick' as const, count: sticks }] : []),
    ...(buds > 0 ? [{ lotId, bundleId, unit: 'bud' as const, count: buds }] : []),
  ]
}

/**
 * Wood comes to lie in a place: out of a bath as the end of its soak, back from a holder as a
 * return, from anywhere else as a new stay.
 */
export function moveDrafts(portions: readonly Portion[], placeId: string, note = ''): Draft[] {
  return eachWood(portions, (wood, from): Draft => {
    const to: AccountShape = { kind: 'place', id: placeId }
    if (from.kind === 'bath') return soakEnded(wood, from.id, to)
    if (from.kind !== 'holder') return { kind: 'stay.began', body: { wood, from, placeId } }
    return { kind: 'wood.returned', body: { wood, fromHolderId: from.id, placeId, note } }
  })
}

/** Wood goes into a bath. */
export function bathInDrafts(portions: readonly Portion[], bathId: string): Draft[] {
  return eachWood(portions, (wood, from): Draft => ({
    kind: 'soak.began',
    body: { wood, from, bathId },
  }))
}

/** Wood comes out of its bath, to a place or into somebody's hands. */
export function bathOutDrafts(portions: readonly Portion[], to: AccountShape): Draft[] {
  return eachWood(portions, (wood, from): Draft => soakEnded(wood, from.id, to))
}

/**
 * Wood passes to a crew or person. What lies in a bath is taken out of the water by the one who
 * gives it, so that its soak has an end and the handover can be confirmed.
 */
export function handOverDrafts(
  portions: readonly Portion[],
  toHolderId: string,
  giverId: string,
  note: string,
): Draft[] {
  const giver: AccountShape = { kind: 'holder', id: giverId }
  return eachWood(portions, (wood, from): Draft[] => {
    const given = (account: AccountShape): Draft => ({
      kind: 'wood.handed_over',
      body: { wood, from: account, toHolderId, note },
    })
    return from.kind === 'bath' ? [soakEnded(wood, from.id, giver), given(giver)] : [given(from)]
  }).flat()
}

/** Wood is thrown away; what lies in a bath is first taken out of the water into `handId`. */
export function discardDrafts(
  portions: readonly Portion[],
  reason: string,
  handId: string,
): Draft[] {
  const hand: AccountShape = { kind: 'holder', id: handId }
  return eachWood(portions, (wood, from): Draft[] => {
    const thrown = (account: AccountShape): Draft => ({
      kind: 'wood.discarded',
      body: { wood, from: account, reason },
    })
    return from.kind === 'bath' ? [soakEnded(wood, from.id, hand), thrown(hand)] : [thrown(from)]
  }).flat()
}

/** A tank is filled. */
export function fillDraft(bath: {
  bathId: string
  placeId: string
  water: string
  waterTempC: number | null
  disinfectant: string | null
  litres: number | null
}): Draft {
  return { kind: 'bath.filled', body: bath }
}

/** The tank is emptied: this bath is over. */
export function emptyDraft(bathId: string): Draft {
  return { kind: 'bath.emptied', body: { bathId } }
}

/**
 * Whoever was handed wood says that they have it; `wood` is what they counted, `holderId` whose
 * hands it is in, where it is not the person's own.
 */
export function acceptDraft(
  handoverId: string,
  wood: WoodShape,
  note: string,
  holderId: string | null = null,
): Draft {
  const beside = holderId === null ? {} : { holderId }
  return { kind: 'wood.accepted', body: { handoverId, wood, note }, ...beside }
}

function eachWood<T>(
  portions: readonly Portion[],
  write: (wood: WoodShape, from: AccountShape) => T,
): T[] {
  return portions.flatMap((portion) => woodOf(portion).map((wood) => write(wood, portion.from)))
}

function soakEnded(wood: WoodShape, bathId: string, to: AccountShape): Draft {
  return { kind: 'soak.ended', body: { wood, bathId, to } }
}
