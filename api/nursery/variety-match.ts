// Finds the registered variety that a name in a file means, whatever its case and accents.
import { closestName, foldName, isSlip } from './closest-name.ts'
import { shownValue } from './block-csv-cells.ts'
import { acceptedCell, refusedCell, type KnownVariety, type Reading } from './block-csv-types.ts'

/** Looks a name up and answers with the registered name. */
export type VarietyFinder = (name: string) => Reading<string>

/**
 * Makes a finder over the registered varieties. Names and synonyms match without regard to case
 * and accents; an unknown name is answered with the closest known one, and a name that two
 * varieties share with both.
 */
export function varietyFinder(varieties: readonly KnownVariety[]): VarietyFinder {
  const byFold = new Map<string, KnownVariety[]>()
  for (const variety of varieties) {
    for (const spelling of [variety.name, ...variety.synonyms]) {
      const key = foldName(spelling)
      const same = byFold.get(key) ?? []
      if (!same.includes(variety)) byFold.set(key, [...same, variety])
    }
  }
  const spellings = varieties.flatMap((variety) => [variety.name, ...variety.synonyms])
  const answers = new Map<string, Reading<string>>()
  return function findVariety(name) {
    const key = foldName(name)
    const known = answers.get(key)
    if (known !== undefined) return known
    const answer = answerFor(name, byFold.get(key) ?? [], spellings)
    answers.set(key, answer)
    return answer
  }
}

function answerFor(
  name: string,
  matches: readonly KnownVariety[],
  spellings: readonly string[],
): Reading<string> {
  const [match, ...others] = preferOwnName(name, matches)
  if (match !== undefined && others.length === 0) return acceptedCell(match.name)
  if (match !== undefined) {
    const names = [match, ...others].map((variety) => `“${variety.name}”`)
    return refusedCell(
      `Several registered varieties have this name: ${names.join(', ')}.`,
      'Write the main name of the one that is meant, or correct the synonyms in the register.',
    )
  }
  const closest = closestName(name, spellings)
  if (closest === null) {
    return refusedCell(
      'No variety is registered yet.',
      `Register the variety “${shownValue(name)}” first, then read the file again.`,
    )
  }
  const likely = isSlip(closest.distance, foldName(name).length)
  return refusedCell(
    `No registered variety has this name. The closest known name is “${closest.name}”.`,
    likely
      ? `Write “${closest.name}” if that is meant; otherwise register the variety first.`
      : 'Register the variety or the synonym first, or write a registered name.',
  )
}

// Where one variety has the text as its name and another as a synonym, the name decides.
function preferOwnName(name: string, matches: readonly KnownVariety[]): readonly KnownVariety[] {
  const own = matches.filter((variety) => foldName(variety.name) === foldName(name))
  return own.length === 1 ? own : matches
}
