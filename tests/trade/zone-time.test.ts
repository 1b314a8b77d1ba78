// Days begin where the nursery is, also where the clocks jump over midnight.
import { expect, it } from 'vitest'
import { localOfInstant, startOfDay } from '#trade/zone-time.ts'

it.each([
  // IANA tz database: Chile goes to summer time at 24:00, so 8 September 2024 began at 01:00.
  ['2024-09-08', 'America/Santiago', '2024-09-08T04:00:00Z'],
  // IANA tz database: New Zealand stands at UTC+13 in January, +12 in July.
  ['2027-01-15', 'Pacific/Auckland', '2027-01-14T11:00:00Z'],
  ['2027-07-15', 'Pacific/Auckland', '2027-07-14T12:00:00Z'],
  ['2027-02-03', 'UTC', '2027-02-03T00:00:00Z'],
  ['2027-02-03', 'No/Such_Zone', '2027-02-03T00:00:00Z'],
])('%s in %s begins at %s', (day, zone, at) => {
  expect(new Date(startOfDay(day, zone))).toEqual(new Date(at))
})

it('no moment of the day comes before it, and the moment before is another day', () => {
  for (const zone of ['America/Santiago', 'Asia/Beirut', 'Pacific/Auckland', 'America/Havana']) {
    for (let nr = 0; nr < 366; nr += 1) {
      const day = new Date(Date.UTC(2024, 0, 1 + nr)).toISOString().slice(0, 10)
      const start = startOfDay(day, zone)
      expect(localOfInstant(start, zone).slice(0, 10)).toBe(day)
      expect(localOfInstant(start - 60_000, zone) < day).toBe(true)
    }
  }
})
