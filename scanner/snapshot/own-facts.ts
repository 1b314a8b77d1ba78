// What an entry of this phone states, as far as a snapshot shows it: a pure function of the entry.
import { NIL_ID } from '#wire/basics.ts'
import type { WoodShape } from '#wire/basics.ts'
import type { EntryBody, EntryKind } from '#wire/entry.ts'
import type { SnapshotLotShape } from '#wire/api-snapshot.ts'
import type { HoldOn } from '#trade/hold-reach.ts'
import type { OwnEntry } from '../snapshot-source.ts'
import { lotMoves, moved } from './own-lots.ts'

/** Wood that left an account (count below zero) or came into it. */
export interface LotMove {
  readonly lotId: string
  readonly bundleId: string | null
  readonly unit: 'stick' | 'bud'
  readonly kind: string
  readonly id: string
  readonly count: number
}

export type Making = SnapshotLotShape['makings'][number]
/** Buds, cambium or moisture of a lot’s wood that was looked at; the time is the entry’s. */
export interface Looked {
  readonly lotId: string
  readonly counted?: Omit<SnapshotLotShape['viability'][number], 'checkedAt'>
  readonly measured?: EntryBody<'check.moisture'>['measured']
}

export type Bundle = SnapshotLotShape['bundles'][number]

/** Everything that an entry can state; times are the entry’s own. */
export interface Stated {
  readonly moves?: readonly LotMove[]
  readonly makings?: readonly (Making & { readonly lotId: string })[]
  readonly parents?: readonly { readonly lotId: string; readonly parentId: string }[]
  readonly bundles?: readonly { readonly lotId: string; readonly bundle: Bundle }[]
  readonly binding?: { readonly code: string; readonly kind: string; readonly id: string }
  readonly end?: { readonly code: string; readonly how: 'spoiled' | 'replaced' }
  readonly filling?: { readonly bathId: string; readonly placeId: string }
  readonly emptiedBath?: string
  readonly hold?: HoldOn
  readonly taken?: TakenOver
  readonly graft?: {
    readonly rowId: string
    readonly position: number
    readonly lotId: string
    readonly budCount: number
    /** The tagged knife, or else the person whose knife it was. */
    readonly blade: string
  }
  readonly cleanedBlade?: string
  readonly removedGraft?: string
  readonly checks?: readonly OnVine[]
  readonly tie?: OnVine
  readonly looked?: Looked
  readonly skip?: { readonly rowId: string; readonly position: number }
}

/** Wood that somebody took over; where it came from only the handover says. */
export interface TakenOver {
  readonly handoverId: string
  readonly wood: WoodShape
  readonly holderId: string
}

/** Something told of a vine, or of one graft on it. */
export interface OnVine {
  readonly rowId: string
  readonly position: number
  readonly graftId: string | null
}

/** What the entry states; kinds that only the office writes state nothing here. */
export function statedBy(entry: OwnEntry): Stated {
  const state = stating[entry.kind] as ((entry: OwnEntry) => Stated) | undefined
  return state?.(entry) ?? {}
}

type Entry<K extends EntryKind> = Extract<OwnEntry, { kind: K }>
type Stating = { readonly [K in EntryKind]?: (entry: Entry<K>) => Stated }

const stating: Stating = {
  ...lotMoves,
  'stay.began': ({ body: { wood, from, placeId } }) => ({
    moves: moved(wood, from, { kind: 'place', id: placeId }),
  }),
  'bath.filled': ({ body: { bathId, placeId } }) => ({ filling: { bathId, placeId } }),
  'bath.emptied': ({ body: { bathId } }) => ({ emptiedBath: bathId }),
  'soak.began': ({ body: { wood, from, bathId } }) => ({
    moves: moved(wood, from, { kind: 'bath', id: bathId }),
  }),
  'soak.ended': ({ body: { wood, bathId, to } }) => ({
    moves: moved(wood, { kind: 'bath', id: bathId }, to),
  }),
  'wood.handed_over': ({ body: { wood, from, toHolderId } }) => ({
    moves: moved(wood, from, { kind: 'holder', id: toHolderId }),
  }),
  'wood.accepted': ({ body: { handoverId, wood }, person, holderId = person }) => ({
    taken: { handoverId, wood, holderId },
  }),
  'wood.returned': ({ body: { wood, fromHolderId, placeId } }) => ({
    moves: moved(wood, { kind: 'holder', id: fromHolderId }, { kind: 'place', id: placeId }),
  }),
  'wood.discarded': ({ body: { wood, from } }) => ({
    moves: moved(wood, from, { kind: 'discarded', id: NIL_ID }),
  }),
  'check.viability': ({ body }) => {
    const { lotId, method, liveCount: live, sampledCount: sampled } = body
    return { ...usedUp(body), looked: { lotId, counted: { method, live, sampled } } }
  },
  'check.moisture': ({ body }) => {
    return { ...usedUp(body), looked: { lotId: body.lotId, measured: body.measured } }
  },
  'graft.made': ({ person, body: { vine, lotId, bundleId, from, budCount, knifeId } }) => ({
    moves: moved({ lotId, bundleId, unit: 'bud', count: budCount }, from, {
      kind: 'vine',
      id: vine.rowId,
    }),
    graft: { ...vine, lotId, budCount, blade: knifeId ?? person },
  }),
  'tool.disinfected': ({ person, body: { knifeId } }) => ({ cleanedBlade: knifeId ?? person }),
  'graft.removed': ({ body: { graftId } }) => ({ removedGraft: graftId }),
  'vine.skipped': ({ body: { vine } }) => ({ skip: vine }),
  'tie.released': ({ body: { vine, graftId } }) => ({ tie: { ...vine, graftId } }),
  'take.checked': ({ body: { vine, results } }) => ({
    checks: results.map(({ graftId }) => ({ ...vine, graftId })),
  }),
  'tag.bound': ({ body: { code, thing } }) => ({ binding: { code, ...thing } }),
  'tag.replaced': ({ body: { oldCode, newCode, thing } }) => ({
    binding: { code: newCode, ...thing },
    end: { code: oldCode, how: 'replaced' },
  }),
  'tag.spoiled': ({ body: { code } }) => ({ end: { code, how: 'spoiled' } }),
  'hold.placed': ({ body: { holdId, on, agent } }) => ({
    hold: { holdId, onKind: on.kind, onId: on.id, agent },
  }),
}

function usedUp({
  lotId,
  bundleId,
  used,
}: EntryBody<'check.viability' | 'check.moisture'>): Stated {
  if (used === null) return {}
  const wood = { lotId, bundleId, unit: used.unit, count: used.count }
  return { moves: moved(wood, used.from, { kind: 'check', id: NIL_ID }) }
}
