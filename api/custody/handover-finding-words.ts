// The English words for findings about wood that passed from hand to hand.
import { atTime, counted } from './finding-word-shape.ts'
import type { FindingWordsOf } from './finding-word-shape.ts'

export const handoverFindingWords: FindingWordsOf<'accepted_other_count'> = {
  accepted_other_count: {
    title: 'Who took wood over counted something else',
    severity: 'must answer',
    explain: (facts, nameOf) =>
      `${nameOf(facts.holder_id)} was handed ${counted(facts.given, facts.unit)} of lot ` +
      `${nameOf(facts.lot_id)}; on ${atTime(facts.accepted_at)} ` +
      `${counted(facts.accepted, facts.accepted_unit)}` +
      `${facts.other_bundle ? ' of another bundle' : ''} were counted.`,
    mend:
      'Count again together. Withdraw whichever entry is wrong and record it right; record what ' +
      'was lost as thrown away, with the reason.',
  },
}
