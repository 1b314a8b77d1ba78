// What one phone shows for a handover, the other reads back whole.
import fc from 'fast-check'
import { v7 } from 'uuid'
import { describe, expect, it } from 'vitest'
import { handoverText, readHandoverText } from '../../api/wire/handover.ts'
import type { Handover } from '../../api/wire/handover.ts'

const id = fc.uuid({ version: 4 })
const handover: fc.Arbitrary<Handover> = fc.record({
  handoverId: fc.nat().map(() => v7()),
  toHolderId: fc.option(id),
  wood: fc.record({
    lotId: id,
    bundleId: fc.option(id),
    unit: fc.constantFrom('stick', 'bud'),
    count: fc.integer({ min: 1, max: 1_000_000 }),
  }),
})

describe('the text of a handover', () => {
  it('is read back as it was written, small letters or capitals', () => {
    fc.assert(
      fc.property(handover, (given) => {
        expect(readHandoverText(handoverText(given))).toEqual(given)
        expect(readHandoverText(handoverText(given).toLowerCase())).toEqual(given)
      }),
    )
  })

  it('keeps to the alphanumeric set of ISO/IEC 18004, table 5', () => {
    fc.assert(
      fc.property(handover, (given) => {
        expect(handoverText(given)).toMatch(/^[0-9A-Z $%*+\-./:]+$/)
      }),
    )
  })

  it('any other text is no handover, whatever is cut off or changed in kind', () => {
    fc.assert(
      fc.property(fc.string(), (text) => {
        expect(readHandoverText(text)).toBeNull()
      }),
    )
    fc.assert(
      fc.property(handover, fc.nat(), (given, at) => {
        const text = handoverText(given)
        const cut = text.slice(0, at % text.lastIndexOf(':'))
        expect(readHandoverText(cut)).toBeNull()
        expect(readHandoverText(`${text}:1`)).toBeNull()
      }),
    )
    const whole = 'CANEMARK-HANDOVER-1:0:0:0:0:S:1'
    expect(readHandoverText(whole)).toBeNull()
    expect(readHandoverText('x'.repeat(4000))).toBeNull()
  })
})
