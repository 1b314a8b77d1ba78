// What the desk refuses about places, baths and the times at which wood moves.
import { writtenTime } from '#trade/zone-time.ts'
import { piecesText } from '../lots/pieces.ts'
import type { FieldProblem } from '../platform/errors.ts'
import type { Bath } from './baths.ts'
import type { ChosenWood } from './choose-wood.ts'
import { nameOf } from './choose-wood.ts'
import type { PlaceInTree } from './places.ts'
import type { WoodPosition } from './positions.ts'

/** Most positions that a refusal names one by one. */
const NAMED_LIMIT = 5

/** Can wood be put there to lie? Not in a tank: that is what a bath is for. */
export function placeProblems(
  places: readonly PlaceInTree[],
  placeId: string,
  field: string,
): FieldProblem[] {
  const place = places.find((candidate) => candidate.placeId === placeId)
  if (place === undefined) return [{ field, message: 'this place is not registered: choose one' }]
  if (place.placeKind !== 'tank') return []
  const message = `${place.name} is a tank: put the wood into its bath on the page Soak`
  return [{ field, message }]
}

/** Wood cannot be put where it already is. */
export function samePlaceProblems(
  chosen: readonly ChosenWood[],
  account: { kind: string; id: string },
  field: string,
): FieldProblem[] {
  const same = chosen.filter(
    ({ position }) => position.account.kind === account.kind && position.account.id === account.id,
  )
  if (same.length === 0) return []
  const names = some(same.map(({ position }) => nameOf(position)))
  return [{ field, message: `already there: ${names}; choose another, or take its tick off` }]
}

/** Nothing leaves an account before it came there; times are compared by the minute. */
export function timeProblems(
  chosen: readonly ChosenWood[],
  at: Date,
  zone: string,
  field = 'when',
): FieldProblem[] {
  const early = chosen.filter(({ position }) => minute(at) < minute(position.firstAt))
  const first = early[0]
  if (first === undefined) return []
  const since = writtenTime(first.position.firstAt.getTime(), zone)
  const message = `${nameOf(first.position)}, came there at ${since}: give a later time`
  return [{ field, message }]
}

/** A place's name must be its own among those that lie in the same place. */
export function newPlaceProblems(
  places: readonly PlaceInTree[],
  place: { name: string; placeKind: string; insidePlaceId: string | null },
): FieldProblem[] {
  const outer = places.find((candidate) => candidate.placeId === place.insidePlaceId)
  if (place.insidePlaceId !== null && outer === undefined) {
    return [
      { field: 'insidePlaceId', message: 'the place around it is not registered: choose one' },
    ]
  }
  const problems: FieldProblem[] = []
  if (outer?.placeKind === 'tank') {
    const message = `${outer.name} is a tank, and nothing lies inside a tank but water and wood`
    problems.push({ field: 'insidePlaceId', message })
  }
  const key = fold(place.name)
  const twin = places.find(
    (candidate) => candidate.insidePlaceId === place.insidePlaceId && fold(candidate.name) === key,
  )
  if (twin !== undefined) {
    const message = `there is already a ${twin.placeKind} called ${twin.path}: choose another name`
    problems.push({ field: 'name', message })
  }
  return problems
}

/** A bath is filled in a tank that stands empty. */
export function fillProblems(
  places: readonly PlaceInTree[],
  standing: readonly Bath[],
  tankId: string,
  field = 'placeId',
): FieldProblem[] {
  const tank = places.find((place) => place.placeId === tankId)
  if (tank === undefined) return [{ field, message: 'this tank is not registered: choose one' }]
  if (tank.placeKind !== 'tank') {
    return [{ field, message: `${tank.path} is a ${tank.placeKind}, not a tank: choose a tank` }]
  }
  if (!standing.some((bath) => bath.tankId === tankId)) return []
  return [{ field, message: `${tank.path} is filled already: empty its bath first` }]
}

/** Wood goes only into a bath that stands, and not before it was filled. */
export function bathProblems(
  bath: Bath | null,
  at: Date,
  zone: string,
  fields: { bath: string; when: string },
): FieldProblem[] {
  if (bath === null) return [{ field: fields.bath, message: 'this bath is not known: choose one' }]
  if (bath.emptiedAt !== null) {
    const message = `the bath in ${bath.tankName} has been emptied: fill a new one`
    return [{ field: fields.bath, message }]
  }
  if (minute(at) >= minute(bath.filledAt)) return []
  const filled = writtenTime(bath.filledAt.getTime(), zone)
  const message = `the bath in ${bath.tankName} was filled at ${filled}: give a later time`
  return [{ field: fields.when, message }]
}

/** A bath is emptied when no wood is recorded in it any more. */
export function emptyProblems(
  inBath: readonly WoodPosition[],
  bath: Bath,
  field = 'bath',
): FieldProblem[] {
  if (inBath.length === 0) return []
  const names = some(
    inBath.map(
      (position) => `${nameInBath(position)} (${piecesText(position.material, position)})`,
    ),
  )
  const message = `wood is recorded in the bath in ${bath.tankName}: ${names}. Take it out first`
  return [{ field, message }]
}

function nameInBath({ reference, bundleNumber }: WoodPosition): string {
  return bundleNumber === null ? `${reference}, loose` : `${reference}, bundle ${bundleNumber}`
}

function some(names: string[]): string {
  const shown = names.slice(0, NAMED_LIMIT).join('; ')
  return names.length > NAMED_LIMIT ? `${shown}; and ${names.length - NAMED_LIMIT} more` : shown
}

const minute = (time: Date) => Math.floor(time.getTime() / 60_000)

/** Two names that differ only by capitals, accents' form or spaces are the same to a reader. */
const fold = (name: string) => name.normalize('NFKC').toLocaleLowerCase('en').replace(/\s+/g, ' ')
