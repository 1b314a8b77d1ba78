// Adds months to a calendar day, as intervals of retesting are counted.

/**
 * `months` after the ISO day `day` (before it, when negative). Where the month is too short, its
 * last day: a year after 29 February is 28 February.
 */
export function addMonths(day: string, months: number): string {
  const [year = 0, month = 1, date = 1] = day.split('-').map(Number)
  const first = new Date(Date.UTC(year, month - 1 + months, 1))
  const last = new Date(Date.UTC(first.getUTCFullYear(), first.getUTCMonth() + 1, 0))
  first.setUTCDate(Math.min(date, last.getUTCDate()))
  return first.toISOString().slice(0, 10)
}
