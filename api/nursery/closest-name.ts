// Finds the known name nearest to a mistyped one.

/** Longest text that is compared, in characters; what is beyond is cut off. */
const COMPARED_LENGTH_LIMIT = 60

/**
 * The key under which names are the same: case, accents and width of spaces do not count
 * (Unicode compatibility decomposition, marks removed, lower case).
 */
export function foldName(text: string): string {
  return text.normalize('NFKD').replace(/\p{M}/gu, '').toLowerCase().replace(/\s+/gu, ' ').trim()
}

/** The candidate with the fewest typing mistakes between it and `text`; null without candidates. */
export function closestName(
  text: string,
  candidates: readonly string[],
): { name: string; distance: number } | null {
  const sought = foldName(text)
  let best: { name: string; distance: number } | null = null
  for (const name of candidates) {
    const distance = typingDistance(sought, foldName(name))
    if (best === null || distance < best.distance) best = { name, distance }
  }
  return best
}

/** Whether a distance is small enough, for a text of this length, to be a slip of typing. */
export function isSlip(distance: number, length: number): boolean {
  return distance <= Math.max(1, Math.floor(length / 3))
}

/**
 * Optimal string alignment distance: insertions, deletions, substitutions and swaps of
 * neighbours (Damerau 1964, Levenshtein 1966; each part of a text edited at most once).
 */
export function typingDistance(left: string, right: string): number {
  const source = Array.from(left).slice(0, COMPARED_LENGTH_LIMIT)
  const target = Array.from(right).slice(0, COMPARED_LENGTH_LIMIT)
  let beforeLast: number[] = []
  let last = target.map((_, index) => index)
  last.push(target.length)
  for (let row = 1; row <= source.length; row += 1) {
    const current = [row]
    for (let column = 1; column <= target.length; column += 1) {
      const same = source[row - 1] === target[column - 1]
      let cost = Math.min(
        at(last, column) + 1,
        at(current, column - 1) + 1,
        at(last, column - 1) + (same ? 0 : 1),
      )
      const swapped =
        row > 1 &&
        column > 1 &&
        source[row - 1] === target[column - 2] &&
        source[row - 2] === target[column - 1]
      if (swapped) cost = Math.min(cost, at(beforeLast, column - 2) + 1)
      current.push(cost)
    }
    beforeLast = last
    last = current
  }
  return at(last, target.length)
}

function at(row: readonly number[], column: number): number {
  const cost = row[column]
  if (cost === undefined) throw new Error('the comparison table is read outside its bounds')
  return cost
}
