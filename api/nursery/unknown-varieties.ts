// Tells which names in a block's file are varieties that nobody has registered yet.
import { checkText } from '#trade/text-safety.ts'
import { NAME_LIMIT } from '#wire/basics.ts'
import { foldName } from './closest-name.ts'
import type { CsvProblem, KnownVariety } from './block-csv-types.ts'
import { varietyFinder } from './variety-match.ts'

/**
 * The names that `problems` of a file complain of as unregistered, each once, in their order.
 * Names that two registered varieties share are not among them: registering does not mend those.
 */
export function unknownVarieties(
  problems: readonly CsvProblem[],
  known: readonly KnownVariety[],
): string[] {
  const find = varietyFinder(known)
  const registered = new Set(
    known.flatMap((variety) => [variety.name, ...variety.synonyms]).map(foldName),
  )
  const unknown = new Map<string, string>()
  for (const { value, message } of problems) {
    const read = checkText(value, 'name', NAME_LIMIT)
    if (!read.ok || registered.has(foldName(read.value))) continue
    const answer = find(read.value)
    if (answer.ok || answer.message !== message) continue
    const key = foldName(read.value)
    if (!unknown.has(key)) unknown.set(key, read.value)
  }
  return [...unknown.values()]
}
