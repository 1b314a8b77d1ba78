// Finds which group of a mistyped code to compare with the tag: where one slip would explain it.
import { isTagCode, TAG_ALPHABET, TAG_CODE_LENGTH } from '#trade/tag-code.ts'

const GROUP_LENGTH = 4

/**
 * The groups (1 to 3) in which one wrong character, or two neighbours swapped, would explain the
 * slip, and give a code that `isKnown`. Empty when no known code is one slip away, for then any
 * group may be wrong. The code itself is never guessed: a person compares it with the tag.
 */
export function groupsToCompare(typed: string, isKnown: (code: string) => boolean): number[] {
  const code = plain(typed)
  if (code.length !== TAG_CODE_LENGTH) return []
  const groups = new Set<number>()
  for (const [place, candidate] of oneSlipAway(code)) {
    if (!isTagCode(candidate) || !isKnown(candidate)) continue
    groups.add(Math.floor(place / GROUP_LENGTH) + 1)
  }
  return [...groups].sort((one, other) => one - other)
}

function* oneSlipAway(code: string): Generator<[place: number, candidate: string]> {
  for (let place = 0; place < code.length; place += 1) {
    for (const character of TAG_ALPHABET) {
      if (character === code[place]) continue
      yield [place, code.slice(0, place) + character + code.slice(place + 1)]
    }
    const [here = '', next = ''] = code.slice(place, place + 2)
    if (next === '' || here === next) continue
    yield [place, code.slice(0, place) + next + here + code.slice(place + 2)]
  }
}

function plain(typed: string): string {
  return typed
    .toUpperCase()
    .replace(/[\s\p{Pd}]/gu, '')
    .replaceAll('O', '0')
    .replace(/[IL]/g, '1')
}
