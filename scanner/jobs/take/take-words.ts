// How what was seen at a vine is said back.
import type { RecentEntry } from '../../phone.ts'
import type { Speaker } from '../../words/speaker.ts'
import type { PlainKey } from '../../words/say.ts'
import { FATES } from './take-drafts.ts'
import type { Fate } from './take-drafts.ts'

export const FATE_WORDS: Readonly<Record<Fate, PlainKey>> = {
  growing: 'take.growing',
  callused: 'take.callused',
  failed: 'take.failed',
}

/** Shapes beside the words, so that no fate is told by colour alone. */
export const FATE_SHAPES: Readonly<Record<Fate, string>> = {
  growing: '▲',
  callused: '●',
  failed: '✕',
}

interface Counted {
  readonly growing: number
  readonly callused: number
  readonly failed: number
}

const COUNT_WORDS = {
  growing: 'take.someGrowing',
  callused: 'take.someCallused',
  failed: 'take.someFailed',
} as const

/** Buds by fate over all grafts of a check, such as `2 growing and 1 failed`. */
export function countsWords(results: readonly Counted[], t: Speaker): string {
  const sum = (fate: Fate) => results.reduce((total, one) => total + one[fate], 0)
  const said = FATES.filter((fate) => sum(fate) > 0)
  return t.list(said.map((fate) => t.say(COUNT_WORDS[fate], { count: sum(fate) })))
}

/** The day alone, as in `4 Oct 2027`. */
export function dayWords(when: string, t: Speaker): string {
  return new Intl.DateTimeFormat(t.locale, { dateStyle: 'medium' }).format(new Date(when))
}

/** The results of an entry, when it is a take check. */
export function resultsOf({ body }: Pick<RecentEntry, 'body'>): readonly Counted[] {
  return 'results' in body ? body.results : []
}
