// How the wood in hand and what was done with it are said while a row is grafted.
import type { PhoneRow } from '../../phone.ts'
import type { Speaker } from '../../words/speaker.ts'
import { shownNumber } from '../walk.ts'
import type { CountedFrom } from '../walk.ts'
import type { Work } from './session.ts'

/** One work in a few words, like `Vine 16: 2 buds`. */
export function workWords(
  work: Pick<Work, 'what' | 'position' | 'budCount'>,
  row: Pick<PhoneRow, 'positionCount'> | null,
  countedFrom: CountedFrom,
  t: Speaker,
): string {
  const { what, position, budCount } = work
  if (what === 'disinfect' || position === null) return t.say('tool.done')
  const vine = row === null ? position : shownNumber(row, position, countedFrom)
  if (what === 'skip') return t.say('graft.workSkip', { vine })
  return t.say('graft.workGraft', { vine, buds: t.say('count.buds', { count: budCount }) })
}
