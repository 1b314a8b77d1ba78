// Whether a place is cooled, itself or by a cooled place around it.

/** What is asked of a place. */
export interface CoolPlace {
  readonly cooled: boolean
  readonly insidePlaceId: string | null
}

/** A place nobody registered is not cooled; a circle of bad entries ends. */
export function isCooledIn(
  placeOf: (placeId: string) => CoolPlace | undefined,
  placeId: string,
): boolean {
  const seen = new Set<string>()
  for (let id: string | null = placeId; id !== null && !seen.has(id);) {
    const place = placeOf(id)
    if (place === undefined) return false
    if (place.cooled) return true
    seen.add(id)
    id = place.insidePlaceId
  }
  return false
}
