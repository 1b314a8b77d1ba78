// What must hold of every judgement, whatever the facts.
import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { MS_PER_MINUTE } from '#trade/intervals.ts'
import { judge } from '#trade/judge.ts'
import { policiesWith } from '#trade/policies.ts'
import { REASON_CODES, severityOf, verdictOf, VERDICTS } from '#trade/reasons.ts'
import { anyHold, anyKnownLot, anyLot, NOW, soundLot } from './lot-facts-arbitrary.ts'

const DEFAULTS = policiesWith({})
const LENIENT_CONTACTS = policiesWith({ contactHoldStops: { value: false } })
const anyPolicies = fc.constantFrom(DEFAULTS, LENIENT_CONTACTS)

describe('invariant 8', () => {
  it('a lot on which, or on whose sources or contacts, a hold stands is never ready', () => {
    fc.assert(
      fc.property(
        anyKnownLot,
        fc.array(anyHold, { minLength: 1, maxLength: 3 }),
        anyPolicies,
        (lot, holds, policies) => {
          expect(judge({ ...lot, holds }, policies, NOW).verdict).not.toBe('ready')
        },
      ),
    )
  })

  it('a hold alone turns an otherwise ready lot away from ready', () => {
    expect(judge(soundLot(), DEFAULTS, NOW).verdict).toBe('ready')
    fc.assert(
      fc.property(anyHold, anyPolicies, (hold, policies) => {
        expect(judge(soundLot({ holds: [hold] }), policies, NOW).verdict).not.toBe('ready')
      }),
    )
  })
})

describe('a judgement', () => {
  it('is as bad as its worst reason and no worse', () => {
    fc.assert(
      fc.property(anyLot, (lot) => {
        const { verdict, reasons } = judge(lot, DEFAULTS, NOW)
        const worst = Math.max(0, ...reasons.map((reason) => severityOf(reason.verdict)))
        expect(severityOf(verdict)).toBe(worst)
      }),
    )
  })

  it('never improves when one more hold is added', () => {
    fc.assert(
      fc.property(anyKnownLot, anyHold, anyPolicies, (lot, hold, policies) => {
        const before = judge(lot, policies, NOW)
        const after = judge({ ...lot, holds: [...lot.holds, hold] }, policies, NOW)
        expect(severityOf(after.verdict)).toBeGreaterThanOrEqual(severityOf(before.verdict))
      }),
    )
  })

  it('never improves when any reason is added to its reasons', () => {
    const reasons = fc.array(fc.record({ verdict: fc.constantFrom(...VERDICTS) }))
    fc.assert(
      fc.property(reasons, fc.constantFrom(...VERDICTS), (before, added) => {
        const after = verdictOf([...before, { verdict: added }])
        expect(severityOf(after)).toBeGreaterThanOrEqual(severityOf(verdictOf(before)))
      }),
    )
  })

  it('is the same for the same facts, and leaves them as they were', () => {
    fc.assert(
      fc.property(anyLot, (lot) => {
        const kept = structuredClone(lot)
        const first = judge(deepFrozen(lot), DEFAULTS, NOW)
        expect(judge(lot, DEFAULTS, NOW)).toEqual(first)
        expect(lot).toEqual(kept)
      }),
    )
  })

  it('does not depend on the order in which facts arrive', () => {
    fc.assert(
      fc.property(anyKnownLot, (lot) => {
        const turned = {
          ...lot,
          holds: lot.holds.toReversed(),
          stays: lot.stays.toReversed(),
          soaks: lot.soaks.toReversed(),
          sources: uniqueSources(lot).map((source) => {
            return { ...source, standings: source.standings.toReversed() }
          }),
        }
        turned.sources.reverse()
        const straight = { ...lot, sources: uniqueSources(lot) }
        expect(judge(turned, DEFAULTS, NOW)).toEqual(judge(straight, DEFAULTS, NOW))
      }),
    )
  })

  it('lists stops before cautions and cautions before the rest', () => {
    fc.assert(
      fc.property(anyLot, (lot) => {
        const severities = judge(lot, DEFAULTS, NOW).reasons.map((one) => severityOf(one.verdict))
        expect(severities).toEqual(severities.toSorted((one, other) => other - one))
      }),
    )
  })

  it('gives only reasons with numbers, words or nothing as facts', () => {
    fc.assert(
      fc.property(anyLot, (lot) => {
        for (const reason of judge(lot, DEFAULTS, NOW).reasons) {
          expect(REASON_CODES).toContain(reason.code)
          for (const fact of Object.values(reason.facts)) {
            expect(fact === null || ['string', 'number'].includes(typeof fact)).toBe(true)
            expect(fact).not.toBeNaN()
          }
        }
      }),
    )
  })
})

describe('the passing of time', () => {
  it('never takes a stop for storage away', () => {
    const later = fc.integer({ min: 0, max: 2_000_000 })
    fc.assert(
      fc.property(anyKnownLot, later, (lot, minutes) => {
        if (!isStoppedForStorage(lot, NOW)) return
        expect(isStoppedForStorage(lot, NOW + minutes * MS_PER_MINUTE)).toBe(true)
      }),
    )
  })

  it('brings every wood without end of storage to a stop', () => {
    const decade = 3660 * 24 * 60 * MS_PER_MINUTE
    expect(isStoppedForStorage(soundLot(), NOW)).toBe(false)
    expect(isStoppedForStorage(soundLot(), NOW + decade)).toBe(true)
  })
})

function isStoppedForStorage(lot: Parameters<typeof judge>[0], now: number): boolean {
  return judge(lot, DEFAULTS, now).reasons.some(
    (reason) => reason.code.startsWith('storage.') && reason.verdict === 'stop',
  )
}

function uniqueSources(lot: ReturnType<typeof soundLot>): typeof lot.sources {
  return [...new Map(lot.sources.map((source) => [source.sourceId, source])).values()]
}

function deepFrozen<T>(value: T): T {
  if (typeof value === 'object' && value !== null) {
    Object.values(value).forEach(deepFrozen)
    Object.freeze(value)
  }
  return value
}
