// What a tap in the row asks for, and the entry that it comes to at the vine in front.
import type { PhoneRow } from '../../phone.ts'
import type { Speaker } from '../../words/speaker.ts'
import type { Tap } from '../taps.ts'
import { shownNumber } from '../walk.ts'
import { disinfectDraft, graftDraft, skipDraft } from './graft-drafts.ts'
import type { GraftSession } from './session.ts'

export type GraftWish =
  | { readonly what: 'buds'; readonly count: number }
  | { readonly what: 'skip'; readonly reason: string }
  | { readonly what: 'disinfect'; readonly disinfectant: string }

/** Where the person stands and what is in their hands. */
export interface GraftPlace {
  readonly session: GraftSession
  readonly row: PhoneRow
  /** The vine in front; null at the row's end, where only a blade can be disinfected. */
  readonly position: number | null
  /** The vine worked last in this row. */
  readonly lastPosition: number | null
  readonly knifeId: string | null
}

/** The entry, and what is said once it is saved. */
export function tapOf(wish: GraftWish, place: GraftPlace, t: Speaker): Tap | null {
  const { session, row, position, lastPosition, knifeId } = place
  const { rowId } = session
  if (wish.what === 'disinfect') {
    const last = lastPosition === null ? null : { rowId, position: lastPosition }
    return {
      draft: disinfectDraft(knifeId, wish.disinfectant, last),
      said: t.say('tool.saved'),
    }
  }
  if (position === null) return null
  const vine = shownNumber(row, position, session.countedFrom)
  if (wish.what === 'skip') {
    const draft = skipDraft({ rowId, position }, wish.reason)
    return { draft, said: t.say('graft.savedSkip', { vine }) }
  }
  const buds = t.say('count.buds', { count: wish.count })
  return {
    draft: graftDraft(session, { rowId, position }, wish.count, knifeId),
    said: t.say('graft.saved', { vine, buds }),
  }
}
