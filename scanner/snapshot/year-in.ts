// Tells the year of an instant by the calendar of a time zone.

const formats = new Map<string, Intl.DateTimeFormat>()

/** The year, of four digits; by UTC for a zone that this phone does not know. */
export function yearIn(timeZone: string, epochMs: number): number {
  let format = formats.get(timeZone)
  if (format === undefined) {
    format = newFormat(timeZone)
    formats.set(timeZone, format)
  }
  return Number(format.format(epochMs))
}

function newFormat(timeZone: string): Intl.DateTimeFormat {
  const options = { year: 'numeric', calendar: 'gregory', numberingSystem: 'latn' } as const
  try {
    return new Intl.DateTimeFormat('en', { ...options, timeZone })
  } catch {
    return new Intl.DateTimeFormat('en', { ...options, timeZone: 'UTC' })
  }
}
