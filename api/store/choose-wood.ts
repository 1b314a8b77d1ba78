// Makes out which wood a person chose in a form: ticked positions, counts typed, tags scanned.
import { COUNT_LIMIT } from '#wire/basics.ts'
import type { WoodShape } from '#wire/basics.ts'
import { formatTagCode } from '#trade/tag-code.ts'
import { piecesText, pieceWord } from '../lots/pieces.ts'
import type { Pieces } from '../lots/pieces.ts'
import type { FieldProblem } from '../platform/errors.ts'
import type { WoodPosition } from './positions.ts'
import type { TagReading, TaggedWood } from './wood-tags.ts'

/** What the form holds: keys ticked, and the counts typed for a key ('' means all). */
export type WoodRequest = {
  ticked: readonly string[]
  sticksOf: (key: string) => string
  budsOf: (key: string) => string
}

/** Some of the wood of one position: at least one stick or bud. */
export type ChosenWood = Pieces & { position: WoodPosition }

/** The field where the ticks are, and the fields of one position's counts. */
export const woodField = 'wood'
export const tagsField = 'tags'
export const sticksField = (key: string) => `sticks-${key}`
export const budsField = (key: string) => `buds-${key}`

/**
 * Chooses among `positions`, all that this form may take from. A count typed beside a position
 * chooses it even without a tick; a tag chooses all of its bundle. Problems name the field and
 * say what is there.
 */
export function chooseWood(
  positions: readonly WoodPosition[],
  request: WoodRequest,
  tags: TagReading = { tagged: [], problems: [] },
): { chosen: ChosenWood[]; problems: FieldProblem[] } {
  const problems: FieldProblem[] = tags.problems.map((message) => ({ field: tagsField, message }))
  const keys = new Set<string>()
  for (const key of request.ticked) {
    if (positions.some((position) => position.key === key)) keys.add(key)
    else problems.push({ field: woodField, message: goneMessage })
  }
  for (const tag of tags.tagged) {
    const found = positions.filter((position) => isTagged(position, tag))
    if (found.length === 0) problems.push({ field: tagsField, message: notHere(tag, positions) })
    for (const position of found) keys.add(position.key)
  }
  for (const { key } of positions) {
    if (request.sticksOf(key) !== '' || request.budsOf(key) !== '') keys.add(key)
  }
  const chosen: ChosenWood[] = []
  for (const position of positions) {
    if (!keys.has(position.key)) continue
    const pieces = readCounts(position, request, problems)
    if (pieces !== null) chosen.push({ position, ...pieces })
  }
  if (chosen.length === 0 && problems.length === 0) {
    problems.push({ field: woodField, message: 'choose some wood: tick a line or scan a tag' })
  }
  return { chosen, problems }
}

/** The quantities of one choice as entries state them: sticks and buds apart. */
export function woodOf({ position, sticks, buds }: ChosenWood): WoodShape[] {
  const { lotId, bundleId } = position
  return [
    ...(sticks > 0 ? [{ lotId, bundleId, unit: 'stick' as const, count: sticks }] : []),
    ...(buds > 0 ? [{ lotId, bundleId, unit: 'bud' as const, count: buds }] : []),
  ]
}

const goneMessage =
  'some of the wood ticked is no longer where it was: look at the list again and tick what is there'

function isTagged(position: WoodPosition, tag: TaggedWood): boolean {
  if (position.lotId !== tag.lotId) return false
  return tag.bundleId === null || position.bundleId === tag.bundleId
}

function notHere(tag: TaggedWood, positions: readonly WoodPosition[]): string {
  const shown = formatTagCode(tag.code)
  const lots = new Set(positions.map((position) => position.lotId))
  const only = lots.size === 1 ? positions[0]?.reference : undefined
  if (only !== undefined && !lots.has(tag.lotId)) {
    return `tag ${shown} is on ${tag.what}, not on wood of ${only}: take that tag off the list`
  }
  return `tag ${shown} is on ${tag.what}, and none of that is in this list: see where it is`
}

/** The counts typed, or everything when none was; null when a count is not right. */
function readCounts(
  position: WoodPosition,
  request: WoodRequest,
  problems: FieldProblem[],
): Pieces | null {
  const typedSticks = request.sticksOf(position.key)
  const typedBuds = request.budsOf(position.key)
  if (typedSticks === '' && typedBuds === '') {
    return { sticks: position.sticks, buds: position.buds }
  }
  const name = nameOf(position)
  const there = `${name}: ${piecesText(position.material, position)} there`
  const read = (typed: string, most: number, field: string, word: string): number | null => {
    const problem = (message: string) => {
      problems.push({ field, message })
      return null
    }
    if (typed === '') return 0
    if (!/^\d{1,7}$/.test(typed) || Number(typed) > COUNT_LIMIT) {
      return problem(`${name}: give a whole number of ${word}, like 20, or leave it empty for all`)
    }
    if (Number(typed) > most) return problem(`${there}, not ${Number(typed)} ${word}`)
    return Number(typed)
  }
  const word = pieceWord(position.material, 2)
  const sticks = read(typedSticks, position.sticks, sticksField(position.key), word)
  const buds = read(typedBuds, position.buds, budsField(position.key), 'buds')
  if (sticks === null || buds === null) return null
  if (sticks + buds === 0) {
    const message = `${name}: 0 moves nothing; take the tick off, or leave the count empty for all`
    problems.push({ field: sticksField(position.key), message })
    return null
  }
  return { sticks, buds }
}

/** Like `27-014, bundle 2, in Room one`. */
export function nameOf(position: WoodPosition): string {
  const part = position.bundleNumber === null ? 'loose' : `bundle ${position.bundleNumber}`
  return `${position.reference}, ${part}, ${position.accountName}`
}
