// What is written down for a vine that is grafted or passed over, a blade, a slip taken back.
import type { Draft } from '../../phone.ts'
import type { GraftSession } from './session.ts'

/** The wood and the hand behind every graft of a stretch. */
export type GraftWood = Pick<GraftSession, 'lotId' | 'bundleId' | 'from' | 'method' | 'tie'>

/** Buds set on one vine. */
export function graftDraft(
  wood: GraftWood,
  vine: { rowId: string; position: number },
  budCount: number,
  knifeId: string | null,
): Draft {
  const { lotId, bundleId, from, method, tie } = wood
  return {
    kind: 'graft.made',
    body: { vine, lotId, bundleId, from, method, budCount, knifeId, tie, note: '' },
  }
}

/** A vine passed over, and why. */
export function skipDraft(vine: { rowId: string; position: number }, reason: string): Draft {
  return { kind: 'vine.skipped', body: { vine, reason } }
}

/** A blade disinfected; `vine` is the one that it worked last. */
export function disinfectDraft(
  knifeId: string | null,
  disinfectant: string | null,
  vine: { rowId: string; position: number } | null,
): Draft {
  return { kind: 'tool.disinfected', body: { knifeId, disinfectant, vine, note: '' } }
}

/** An earlier entry was a mistake; both stay in the record. */
export function undoDraft(entryId: string, reason: string): Draft {
  return { kind: 'entry.withdrawn', body: { entryId, reason } }
}

/** The tie of one graft, or of every graft on the vine, is slit or taken off. */
export function tieDraft(vine: { rowId: string; position: number }, graftId: string | null): Draft {
  return { kind: 'tie.released', body: { vine, graftId, note: '' } }
}
