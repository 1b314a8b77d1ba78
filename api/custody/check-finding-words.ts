// The English words for findings about checks of wood and the ends of baths.
import { atTime, counted } from './finding-word-shape.ts'
import type { FindingWordsOf } from './finding-word-shape.ts'

type CheckCode = 'bath_emptied_before_filled' | 'more_live_than_sampled' | 'dried_to_more'

export const checkFindingWords: FindingWordsOf<CheckCode> = {
  bath_emptied_before_filled: {
    title: 'A bath was emptied before it was filled',
    severity: 'look at',
    explain: (facts, nameOf) =>
      `The ${nameOf(facts.bath_id)} was emptied on ${atTime(facts.emptied_at)}, but filled only ` +
      `on ${atTime(facts.filled_at)}.`,
    mend: 'Withdraw the one whose time is wrong and record it with the right time.',
  },
  more_live_than_sampled: {
    title: 'More buds lived than were looked at',
    severity: 'look at',
    explain: (facts, nameOf) =>
      `${counted(facts.checks, 'check')} of lot ${nameOf(facts.lot_id)} cannot be: up to ` +
      `${facts.live} alive of ${facts.sampled} looked at. All looked at count as alive.`,
    mend: 'Withdraw the check and record it with the right counts.',
  },
  dried_to_more: {
    title: 'A sample weighed more dry than fresh',
    severity: 'look at',
    explain: (facts, nameOf) =>
      `${counted(facts.checks, 'check')} of lot ${nameOf(facts.lot_id)} cannot be: the dry ` +
      'weight exceeds the fresh one. It counts for nothing.',
    mend: 'Withdraw the check and record it with the right weights.',
  },
}
