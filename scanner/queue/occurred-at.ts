// Writes the phone's time down the way entries carry it: local time with its offset from UTC.

/**
 * ISO 8601 with offset, to the millisecond.
 * @param date the moment
 * @param offsetMinutes local time minus UTC, in minutes: 60 for +01:00
 */
export function isoWithOffset(date: Date, offsetMinutes: number): string {
  const local = new Date(date.getTime() + offsetMinutes * 60_000).toISOString().slice(0, -1)
  if (offsetMinutes === 0) return `${local}Z`
  const size = Math.abs(offsetMinutes)
  const two = (count: number) => String(count).padStart(2, '0')
  const hours = two(Math.floor(size / 60))
  return `${local}${offsetMinutes < 0 ? '-' : '+'}${hours}:${two(size % 60)}`
}
