// The English words for every finding: what is wrong, how it shows, and how to put it right.
import type { FactsByFinding, FindingCode } from '../journal/finding-codes.ts'
import type { FindingWord, FindingWordsOf, NameOf, Severity } from './finding-word-shape.ts'
import { checkFindingWords } from './check-finding-words.ts'
import { handoverFindingWords } from './handover-finding-words.ts'
import { lotFindingWords } from './lot-finding-words.ts'
import { recordFindingWords } from './record-finding-words.ts'
import { storeFindingWords } from './store-finding-words.ts'
import { vineFindingWords } from './vine-finding-words.ts'

/** The words for each code. */
export const findingWords: FindingWordsOf<FindingCode> = {
  ...lotFindingWords,
  ...handoverFindingWords,
  ...vineFindingWords,
  ...storeFindingWords,
  ...checkFindingWords,
  ...recordFindingWords,
}

/** A finding as people read it. */
export type FindingInWords = { title: string; severity: Severity; sentence: string; mend: string }

/**
 * Says a finding in English. `facts` are those the database keeps with the code; `nameOf` names
 * the ids in them (see `idsIn`). A code this program does not know, left by a newer one, is told
 * as it is.
 */
export function findingInEnglish(
  code: string,
  facts: unknown,
  nameOf: NameOf = (id) => id,
): FindingInWords {
  if (!isFindingCode(code)) {
    const sentence = `A newer version of this program found "${code}": ${JSON.stringify(facts)}`
    return { title: code, severity: 'must answer', sentence, mend: 'Update this program.' }
  }
  // The facts belong to the code by construction; the index type cannot say so.
  const word = findingWords[code] as FindingWord<FindingCode>
  const sentence = word.explain(facts as FactsByFinding[FindingCode] as never, nameOf)
  return { title: word.title, severity: word.severity, sentence, mend: word.mend }
}

/** Is this the code of a finding? */
export function isFindingCode(code: string): code is FindingCode {
  return Object.hasOwn(findingWords, code)
}

/** The ids that the facts of a finding mention, for looking up their names. */
export function idsIn(facts: unknown): string[] {
  return JSON.stringify(facts).match(idPattern) ?? []
}

const idPattern = /[0-9a-f]{8}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{12}/g
