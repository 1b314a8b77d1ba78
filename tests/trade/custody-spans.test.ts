// Custody spans: what nobody told, and wood that the records have in two places.
import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { custodySpans } from '#trade/custody-spans.ts'
import type { CustodyLeg } from '#trade/custody-spans.ts'

const leg = (accountKind: string, accountId: string, atMs: number, budEquivalents: number) => ({
  ...{ entryId: `entry ${atMs}`, accountKind, accountId, atMs, budEquivalents },
})

describe('custody', () => {
  it('has a gap where wood came from, or went to, an unknown place', () => {
    const legs = [leg('unknown', 'nil', 1, -60), leg('place', 'room', 1, 60)]
    expect(custodySpans(legs).gaps).toEqual([
      { entryId: 'entry 1', how: 'came from nowhere told', atMs: 1, budEquivalents: 60 },
    ])
  })

  it('has wood in two places from its giving out until its coming in is told', () => {
    const legs = [
      leg('place', 'room', 1, 100),
      leg('place', 'room', 2, -130),
      leg('place', 'room', 5, 20),
      leg('place', 'room', 9, 10),
    ]
    expect(custodySpans(legs).overlaps).toEqual([
      { accountKind: 'place', accountId: 'room', fromMs: 2, untilMs: 9, budEquivalents: 30 },
    ])
  })

  it('takes legs of one moment together, and leaves vines and sources out', () => {
    const legs = [
      leg('holder', 'crew', 3, -40),
      leg('holder', 'crew', 3, 40),
      leg('source', 'block', 1, -40),
      leg('vine', 'row', 4, 40),
    ]
    expect(custodySpans(legs)).toEqual({ gaps: [], overlaps: [] })
  })

  it('tells the same in whatever order the steps of different moments come', () => {
    const step = fc.record({ account: fc.nat(2), amount: fc.integer({ min: -50, max: 50 }) })
    fc.assert(
      fc.property(fc.array(step, { maxLength: 12 }), fc.nat(), (steps, turn) => {
        const legs: CustodyLeg[] = steps.map(({ account, amount }, at) =>
          leg('place', `room ${account}`, at, amount),
        )
        const by = legs.length === 0 ? 0 : turn % legs.length
        const turned = [...legs.slice(by), ...legs.slice(0, by)]
        const sorted = (list: readonly CustodyLeg[]) =>
          custodySpans(list)
            .overlaps.map((overlap) => JSON.stringify(overlap))
            .sort()
        expect(sorted(turned)).toEqual(sorted(legs))
      }),
    )
  })
})
