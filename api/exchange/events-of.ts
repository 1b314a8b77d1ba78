// The events by which any entry is told to others: a pure function of the entry and the host.
import type { Entry, EntryKind } from '#wire/entry.ts'
import type { EpcisEvent } from './epcis-shape.ts'
import { lotTellers } from './tell-lots.ts'
import type { TellersOf } from './tell-lots.ts'
import { tellRemoval, vineTellers } from './tell-vines.ts'
import { woodTellers } from './tell-wood.ts'

const tellers: Partial<TellersOf<EntryKind>> = { ...lotTellers, ...woodTellers, ...vineTellers }

/** Kinds of entry that are told as events, and those that the exporter tells with more in hand. */
export const toldKinds: readonly string[] = [
  ...Object.keys(tellers),
  'graft.removed',
  'entry.withdrawn',
]

/** Where grafts are, by their ids: an entry that ends a graft names the graft alone. */
export type Grafted = ReadonlyMap<string, { rowId: string; position: number }>

/** The events of `entry`, without ids; none for a kind that is not told. */
export function eventsOf(entry: Entry, host: string, grafted: Grafted): EpcisEvent[] {
  if (entry.kind === 'graft.removed') {
    const vine = grafted.get(entry.body.graftId)
    return vine === undefined ? [] : [tellRemoval(entry, host, vine)]
  }
  const tell = tellers[entry.kind] as ((entry: Entry, host: string) => EpcisEvent[]) | undefined
  return tell?.(entry, host) ?? []
}
