// The shape of the words that tell of a finding, and the small phrases they share.
import type { Difference, FactsByFinding, FindingCode } from '../journal/finding-codes.ts'

/** `must answer`: the wood, or the record, may be wrong. `look at`: it may well be in order. */
export type Severity = 'must answer' | 'look at'

/** Finds the printed name of a thing by its id. */
export type NameOf = (id: string) => string

/** The words for one sort of finding. */
export type FindingWord<C extends FindingCode> = {
  title: string
  severity: Severity
  /** One or two sentences with the numbers and names of this finding. */
  explain: (facts: FactsByFinding[C], nameOf: NameOf) => string
  /** What to do. */
  mend: string
}

/** Words for some of the codes. */
export type FindingWordsOf<C extends FindingCode> = { [P in C]: FindingWord<P> }

/** Like `1 graft` or `57 grafts`. */
export function counted(count: number, one: string, many = `${one}s`): string {
  return `${count} ${count === 1 ? one : many}`
}

/** A time of the facts to the minute, like `2027-02-03 14:05 UTC`. */
export function atTime(iso: string): string {
  return `${iso.slice(0, 10)} ${iso.slice(11, 16)} UTC`
}

/** Things in a list: `a`, `a and b`, `a, b and c`. */
export function listed(words: readonly string[]): string {
  if (words.length < 2) return words.join('')
  return `${words.slice(0, -1).join(', ')} and ${words.at(-1) ?? ''}`
}

/** How two things differ: `clone 12 instead of 7`, with varieties by name. */
export function differencesInWords(differs: readonly Difference[], nameOf: NameOf): string {
  return listed(
    differs.map(({ what, here, there }) => {
      const say = (value: string | null) =>
        value === null ? 'none stated' : what === 'variety' ? nameOf(value) : value
      return `${what} ${say(here)} instead of ${say(there)}`
    }),
  )
}
