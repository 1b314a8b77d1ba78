// The places where wood can lie, as a tree of rooms, racks and bins.
import { isCooledIn } from '#trade/cooled.ts'
import type { Database } from '../../db/connect.ts'

export const placeKinds = ['room', 'rack', 'bin', 'tank', 'truck', 'bench', 'field'] as const
export type PlaceKind = (typeof placeKinds)[number]

export type Place = {
  placeId: string
  name: string
  placeKind: string
  insidePlaceId: string | null
  cooled: boolean
  note: string
}

/** A place in its tree: `path` names every place around it, outermost first. */
export type PlaceInTree = Place & { path: string; depth: number }

/** Between the names of a path. */
export const PATH_MARK = ' › '

/** All places, each followed by what is inside it, in order of name. */
export async function readPlaces(db: Database): Promise<PlaceInTree[]> {
  const rows = await db.selectFrom('place_now').selectAll().execute()
  return inTreeOrder(
    rows.map((row) => ({
      placeId: row.place_id,
      name: row.name,
      placeKind: row.place_kind,
      insidePlaceId: row.inside_place_id,
      cooled: row.cooled,
      note: row.note,
    })),
  )
}

/**
 * Orders places as a tree. A place inside one that is not known, or inside itself by some circle
 * of bad entries, is shown at the top: none is lost.
 */
export function inTreeOrder(places: Place[]): PlaceInTree[] {
  const known = new Set(places.map((place) => place.placeId))
  const inside = new Map<string | null, Place[]>()
  for (const place of places) {
    const outer = place.insidePlaceId
    const key = outer !== null && known.has(outer) ? outer : null
    inside.set(key, [...(inside.get(key) ?? []), place])
  }
  const ordered: PlaceInTree[] = []
  const seen = new Set<string>()
  const visit = (place: Place, path: string, depth: number) => {
    if (seen.has(place.placeId)) return
    seen.add(place.placeId)
    ordered.push({ ...place, path, depth })
    for (const inner of byName(inside.get(place.placeId) ?? [])) {
      visit(inner, `${path}${PATH_MARK}${inner.name}`, depth + 1)
    }
  }
  for (const place of byName(inside.get(null) ?? [])) visit(place, place.name, 0)
  for (const place of byName(places)) visit(place, place.name, 0)
  return ordered
}

/** The place itself and every place inside it, at any depth. */
export function placesWithin(places: PlaceInTree[], placeId: string): Set<string> {
  const within = new Set([placeId])
  for (const place of places) {
    if (place.insidePlaceId !== null && within.has(place.insidePlaceId)) within.add(place.placeId)
  }
  return within
}

/** Is the place cooled, itself or by a cooled place around it? */
export function isCooled(places: PlaceInTree[], placeId: string): boolean {
  const byId = new Map(places.map((place) => [place.placeId, place]))
  return isCooledIn((id) => byId.get(id), placeId)
}

const collator = new Intl.Collator('en', { numeric: true })

function byName(places: Place[]): Place[] {
  return [...places].sort((one, other) => collator.compare(one.name, other.name))
}
