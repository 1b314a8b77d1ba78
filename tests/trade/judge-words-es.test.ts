// The Spanish words for reasons: one for each, with every number that the English one tells.
import fc from 'fast-check'
import { expect, it } from 'vitest'
import { reasonInEnglish } from '#trade/judge-words.en.ts'
import { reasonInSpanish, REASON_SENTENCES_ES, TODO_SENTENCES_ES } from '#trade/judge-words.es.ts'
import { lengthInSpanish, VERDICT_WORDS_ES } from '#trade/judge-words.es.ts'
import { judge } from '#trade/judge.ts'
import { policiesWith } from '#trade/policies.ts'
import { REASON_CODES, reasonOf, TODO_CODES, VERDICTS } from '#trade/reasons.ts'
import { anyLot, NOW } from './lot-facts-arbitrary.ts'

/** Every number in a text, in order of size. */
function numbersIn(text: string): string[] {
  return (text.match(/\d+(?:[.,]\d+)*/g) ?? []).sort()
}

it('every reason, every advice and every verdict has Spanish words', () => {
  expect(Object.keys(REASON_SENTENCES_ES).sort()).toEqual([...REASON_CODES].sort())
  expect(Object.keys(TODO_SENTENCES_ES).sort()).toEqual([...TODO_CODES].sort())
  expect(Object.keys(VERDICT_WORDS_ES)).toEqual([...VERDICTS])
})

it('a Spanish sentence tells the same numbers as the English one, and no English', () => {
  const english = /\b(the|and|of|with|this|not|is|are|was|to|for|undefined|null|NaN)\b/i
  fc.assert(
    fc.property(anyLot, (facts) => {
      for (const reason of judge(facts, policiesWith({}), NOW).reasons) {
        const { sentence, todo } = reasonInSpanish(reason, () => 'Xq')
        expect(numbersIn(sentence)).toEqual(numbersIn(reasonInEnglish(reason, () => 'Xq').sentence))
        expect(`${sentence} ${todo}`).not.toMatch(english)
      }
    }),
    { numRuns: 300 },
  )
})

it('one day is told apart from several', () => {
  const one = reasonOf('storage.age_unknown', { atLeastDays: 1 })
  expect(reasonInSpanish(one).sentence).toContain('al menos 1 día.')
  const several = reasonOf('storage.age_unknown', { atLeastDays: 12 })
  expect(reasonInSpanish(several).sentence).toContain('al menos 12 días.')
  expect(lengthInSpanish(76 * 60)).toBe('3 días 4 h')
})

it('a contact tells its route and the agent in Spanish, the name as the office wrote it', () => {
  const facts = { holdId: 'h', subjectId: 'bath', agentId: 'crown gall', route: 'water' }
  const { sentence } = reasonInSpanish(reasonOf('hold.contact', facts), (_kind, id) => id)
  expect(sentence).toBe('Tuvo contacto con bath (vía: agua), que está retenido por crown gall.')
})
