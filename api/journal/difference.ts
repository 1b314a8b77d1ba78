// The first thing that is not as the journal says, in words for a person.

/** Thrown by the parts of `verify`, which tells it and stops. */
export class Difference extends Error {
  constructor(message: string) {
    super(message)
    this.name = 'Difference'
  }
}

/** How an entry is named in such words. */
export function entryName(index: number, entry: { kind: string; id: string }): string {
  return `entry ${index} (${entry.kind}, ${entry.id})`
}
