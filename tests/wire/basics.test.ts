// The small shapes of entries take what is meant and refuse everything else, without failing.
import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { Day, When } from '#wire/basics.ts'

describe('a time or a day', () => {
  it('is refused, not failed on, whatever the text', () => {
    // '8' and '1.5' are dates to a browser's own reader, and no ISO 8601.
    for (const text of ['8', '1.5', '', 'noon', '2027-02-30T00:00:00Z', '2027-13-01T00:00:00Z']) {
      expect([text, When.safeParse(text).success]).toEqual([text, false])
    }
    fc.assert(
      fc.property(
        fc.oneof(fc.string(), fc.integer().map(String), fc.float().map(String)),
        (text) => {
          expect(When.safeParse(text).success).toBe(false)
          expect(Day.safeParse(text).success).toBe(false)
        },
      ),
    )
  })

  it.each(['2027-02-03T14:05:00+01:00', '2028-02-29T00:00:00.123Z', '2099-12-31T23:59:59-14:00'])(
    '%s is taken',
    (text) => {
      expect(When.safeParse(text).success).toBe(true)
      expect(Day.safeParse(text.slice(0, 10)).success).toBe(true)
    },
  )
})
