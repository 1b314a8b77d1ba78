// The English words of a judgement: every reason has a sentence, and the numbers are in it.
import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { lengthInEnglish, reasonInEnglish } from '#trade/judge-words.en.ts'
import { REASON_SENTENCES_EN, TODO_SENTENCES_EN } from '#trade/judge-words.en.ts'
import { judge } from '#trade/judge.ts'
import { policiesWith } from '#trade/policies.ts'
import { REASON_CODES, reasonOf, REASONS, TODO_CODES } from '#trade/reasons.ts'
import { anyLot, NOW } from './lot-facts-arbitrary.ts'

describe('the English words', () => {
  it('cover every reason and every advice, and nothing else', () => {
    expect(Object.keys(REASON_SENTENCES_EN).sort()).toEqual([...REASON_CODES].sort())
    expect(Object.keys(TODO_SENTENCES_EN).sort()).toEqual([...TODO_CODES].sort())
    const used = new Set(REASON_CODES.map((code) => REASONS[code].todo))
    expect([...used].sort()).toEqual([...TODO_CODES].sort())
  })

  it('are whole sentences without gaps, for whatever a lot is judged by', () => {
    fc.assert(
      fc.property(anyLot, (lot) => {
        for (const reason of judge(lot, policiesWith({}), NOW).reasons) {
          const { sentence, todo } = reasonInEnglish(reason)
          expect(sentence).toMatch(/^[A-Z].*\.$/s)
          expect(todo).toMatch(/^[A-Z].*\.$/s)
          expect(sentence).not.toMatch(/undefined|NaN|null|\[object/)
        }
      }),
    )
  })

  it('print names where names are known', () => {
    const reason = reasonOf('plan.variety', {
      rowId: 'r7',
      plannedVarietyId: 'v1',
      lotVarietyId: 'v2',
    })
    const names: Record<string, string> = { r7: '7', v1: 'Chardonnay', v2: 'Syrah' }
    expect(reasonInEnglish(reason, (_kind, id) => names[id] ?? id).sentence).toBe(
      'Row 7 is planned for Chardonnay; this is Syrah.',
    )
  })

  it('say what is on hold, for which agent and by which route', () => {
    const facts = { holdId: 'h1', subjectId: 'bath 4', agentId: 'crown gall', route: 'water' }
    expect(reasonInEnglish(reasonOf('hold.contact', facts)).sentence).toBe(
      'It touched bath 4 by water, which is on hold for crown gall.',
    )
  })
})

describe('a length of time', () => {
  it.each([
    [0, '0 min'],
    [59, '59 min'],
    [60, '1 h'],
    [48 * 60 + 1, '48 h 1 min'],
    [72 * 60, '3 days'],
    [76 * 60 + 30, '3 days 4 h'],
  ])('of %i minutes is read as it is said', (minutes, words) => {
    expect(lengthInEnglish(minutes)).toBe(words)
  })
})
