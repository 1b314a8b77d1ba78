// Puts the answer to a rule together, with no more entries than a person would open.
import type { RuleAnswer, RuleResult } from './dossier-shape.ts'

/** Entries named with one answer. */
const ENTRY_LIMIT = 100

type Asked = Pick<RuleAnswer, 'rule' | 'citation' | 'citationKnown'>

/** The answer, with the entries that it rests on in their order. */
export function answer(
  asked: Asked,
  result: RuleResult,
  because: string,
  entries: readonly number[] = [],
): RuleAnswer {
  const distinct = [...new Set(entries)].sort((one, other) => one - other)
  return { ...asked, result, because, entries: distinct.slice(0, ENTRY_LIMIT) }
}

/** “1 lot”, “3 lots”. */
export function plural(count: number, one: string): string {
  return `${count} ${count === 1 ? one : `${one}s`}`
}
