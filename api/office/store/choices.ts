// What can be chosen in the forms that move wood: places, baths, crews and people.
import type { AccountShape } from '#wire/basics.ts'
import { readHolders } from '../../custody/holders.ts'
import type { Holder } from '../../custody/holders.ts'
import type { Database } from '../../../db/connect.ts'
import { nurseryTimeZone } from '../../nursery/read.ts'
import { readStandingBaths } from '../../store/baths.ts'
import type { Bath } from '../../store/baths.ts'
import { isCooled, readPlaces } from '../../store/places.ts'
import type { PlaceInTree } from '../../store/places.ts'
import { unknownAccount } from '../../store/wood-drafts.ts'
import type { FormReader } from '../form.ts'
import type { Option } from '../form-page.tsx'
import { shownTime } from '../times.ts'

export type Choices = {
  zone: string
  places: PlaceInTree[]
  holders: Holder[]
  baths: Bath[]
}

/** Reads everything that a form about wood offers. */
export async function readChoices(db: Database): Promise<Choices> {
  const [zone, places, holders, baths] = await Promise.all([
    nurseryTimeZone(db),
    readPlaces(db),
    readHolders(db),
    readStandingBaths(db),
  ])
  return { zone, places, holders, baths }
}

/** Places where wood can lie: all but tanks. */
export function placeOptions({ places }: Choices): Option[] {
  return places
    .filter((place) => place.placeKind !== 'tank')
    .map((place) => ({
      value: place.placeId,
      label: isCooled(places, place.placeId) ? `${place.path} (cooled)` : place.path,
    }))
}

/** Tanks, filled or not. */
export function tankOptions({ places, baths }: Choices): Option[] {
  return places
    .filter((place) => place.placeKind === 'tank')
    .map((place) => {
      const filled = baths.some((bath) => bath.tankId === place.placeId)
      return { value: place.placeId, label: filled ? `${place.path} (filled)` : place.path }
    })
}

/** Crews and people. */
export function holderOptions({ holders }: Choices): Option[] {
  return holders.map(({ holderId, name, what }) => ({
    value: holderId,
    label: what === 'crew' ? `${name} (crew)` : name,
  }))
}

/** Baths that stand filled. */
export function bathOptions({ baths, zone }: Choices): Option[] {
  return baths.map((bath) => ({
    value: bath.bathId,
    label: `${bath.tankName}, filled ${shownTime(bath.filledAt, zone)}`,
  }))
}

const accountValue = ({ kind, id }: AccountShape) => `${kind} ${id}`

/** Where wood can come to be: a place, with a crew or person, or not recorded yet. */
export function accountOptions(choices: Choices): Option[] {
  return [
    ...placeOptions(choices).map(({ value, label }) => ({
      value: accountValue({ kind: 'place', id: value }),
      label,
    })),
    ...holderOptions(choices).map(({ value, label }) => ({
      value: accountValue({ kind: 'holder', id: value }),
      label: `with ${label}`,
    })),
    { value: accountValue(unknownAccount), label: 'not recorded yet' },
  ]
}

/** Reads one of `accountOptions`; notes a problem when it is none of them. */
export function readAccount(
  form: FormReader,
  name: string,
  label: string,
  choices: Choices,
): AccountShape {
  const value = form.raw(name)
  if (!accountOptions(choices).some((option) => option.value === value)) {
    return form.problem(name, `choose ${label}`, unknownAccount)
  }
  const [kind, id] = value.split(' ')
  if (kind === 'place' || kind === 'holder') return { kind, id: id ?? '' }
  return unknownAccount
}
