// Every finding that a rule can raise has words, and every word has a rule.
import { describe, expect, it } from 'vitest'
import { findingInEnglish, findingWords } from '../../api/custody/finding-words.ts'
import { findingRules, recordRules } from '../../api/journal/finding-rules.ts'

const rules = [...findingRules, ...recordRules]

describe('the words of findings', () => {
  it('are as many as the rules, each rule with its own code', () => {
    const codes = rules.map((rule) => rule.code).sort()
    expect(new Set(codes).size).toBe(codes.length)
    expect(Object.keys(findingWords).sort()).toEqual(codes)
  })

  it('have a title that no other has, a severity, and something to do', () => {
    const words = Object.values(findingWords)
    expect(new Set(words.map((word) => word.title)).size).toBe(words.length)
    for (const { title, severity, mend } of words) {
      expect(title).toMatch(/^[A-Z][^.]*$/)
      expect(['must answer', 'look at']).toContain(severity)
      expect(mend).toMatch(/^[A-Z].*\.$/)
    }
  })

  it('tell a code that this program does not know as it is', () => {
    const told = findingInEnglish('from_the_future', { lot: 7 })
    expect(told.severity).toBe('must answer')
    expect(told.sentence).toContain('{"lot":7}')
  })

  it('name things by their names and differences by both sides', () => {
    const facts = {
      lot_id: 'l',
      source_id: 's',
      differs: [
        { what: 'variety', here: 'v1', there: 'v2' },
        { what: 'clone', here: '7', there: null },
      ],
    }
    const names: Record<string, string> = { l: '27-1', s: 'Block A', v1: 'Merlot', v2: 'Syrah' }
    expect(
      findingInEnglish('cut_differs_from_source', facts, (id) => names[id] ?? id).sentence,
    ).toBe(
      'Lot 27-1 differs from its source Block A: variety Merlot instead of Syrah and clone 7 ' +
        'instead of none stated.',
    )
  })
})
