// Shares of origin: exact, complete, and safe against bad data.
import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import {
  addFractions,
  fraction,
  fractionText,
  fractionToNumber,
  ONE,
  ZERO,
} from '#trade/fractions.ts'
import { combineShares, sharesOf } from '#trade/lot-shares.ts'
import type { ParentPart, ParentsByLot, Shares } from '#trade/lot-shares.ts'

function parents(rows: Record<string, Record<string, number>>): ParentsByLot {
  return new Map(
    Object.entries(rows).map(([lotId, parts]): [string, ParentPart[]] => [
      lotId,
      Object.entries(parts).map(([parentId, quantity]) => ({ lotId: parentId, quantity })),
    ]),
  )
}

function sharesIn(lotId: string, rows: ParentsByLot, memo?: Map<string, Shares>): Shares {
  const result = sharesOf(lotId, rows, memo)
  if (!result.ok) throw new Error(result.message)
  return result.shares
}

function inWords(shares: Shares): Record<string, string> {
  return Object.fromEntries([...shares].map(([id, share]) => [id, fractionText(share)]))
}

function sum(shares: Shares) {
  return [...shares.values()].reduce(addFractions, ZERO)
}

describe('the shares of a lot', () => {
  it('without parents are all its own', () => {
    expect(inWords(sharesIn('a', new Map()))).toEqual({ a: '1' })
  })

  it('of a split part are those of the whole', () => {
    const rows = parents({ mix: { a: 30, b: 10 }, part: { mix: 7 } })
    expect(inWords(sharesIn('part', rows))).toEqual({ a: '3/4', b: '1/4' })
  })

  it('of a mixture weigh each part by its pieces, through several mixings', () => {
    const rows = parents({ m1: { a: 1, b: 2 }, m2: { m1: 30, c: 60 }, m3: { m2: 1, m1: 1 } })
    expect(inWords(sharesIn('m2', rows))).toEqual({ a: '1/9', b: '2/9', c: '2/3' })
    // (1/9 + 1/3) / 2, (2/9 + 2/3) / 2, (2/3) / 2
    expect(inWords(sharesIn('m3', rows))).toEqual({ a: '2/9', b: '4/9', c: '1/3' })
  })

  it('stay exact where decimals cannot: three thirds are one', () => {
    const rows = parents({ mix: { a: 1, b: 1, c: 1 } })
    expect(sum(sharesIn('mix', rows))).toEqual(ONE)
  })

  it('add up to exactly one, and name only lots without parents, in any lineage', () => {
    fc.assert(
      fc.property(anyLineage, (rows) => {
        for (const lotId of rows.keys()) {
          const shares = sharesIn(lotId, rows)
          expect(sum(shares)).toEqual(ONE)
          for (const [originId, share] of shares) {
            expect(rows.get(originId) ?? []).toEqual([])
            expect(share.numerator > 0n).toBe(true)
          }
        }
      }),
    )
  })

  it('are the same with a shared memory of earlier answers', () => {
    fc.assert(
      fc.property(anyLineage, (rows) => {
        const memo = new Map<string, Shares>()
        for (const lotId of rows.keys()) {
          expect(sharesIn(lotId, rows, memo)).toEqual(sharesIn(lotId, rows))
        }
      }),
    )
  })

  it('are found once for each lot though a ladder of mixings has 2^60 ways through it', () => {
    const rows = new Map<string, ParentPart[]>()
    for (let step = 1; step <= 60; step += 1) {
      const below = [`a${step - 1}`, `b${step - 1}`]
      const parts = below.map((lotId) => ({ lotId, quantity: 1 }))
      rows.set(`a${step}`, parts)
      rows.set(`b${step}`, parts)
    }
    expect(inWords(sharesIn('a60', rows))).toEqual({ a0: '1/2', b0: '1/2' })
  })

  it('are found through a chain of 100,000 splits', () => {
    const rows = new Map<string, ParentPart[]>()
    for (let step = 1; step <= 100_000; step += 1) {
      rows.set(`l${step}`, [{ lotId: `l${step - 1}`, quantity: 1 }])
    }
    expect(inWords(sharesIn('l100000', rows))).toEqual({ l0: '1' })
  })
})

describe('bad lineage', () => {
  it.each([
    ['a lot that is its own parent', { a: { a: 1 } }, 'a', ['a']],
    ['two lots made of each other', { a: { b: 1 }, b: { a: 1 } }, 'a', ['a', 'b']],
    [
      'a cycle further back',
      { x: { a: 1 }, a: { b: 1 }, b: { c: 1 }, c: { a: 1 } },
      'x',
      ['a', 'b', 'c'],
    ],
  ])('%s is marked as a cycle and its lots are named', (_title, rows, lotId, lotIds) => {
    const result = sharesOf(lotId, parents(rows as Record<string, Record<string, number>>))
    expect(result).toMatchObject({ ok: false, problem: 'cycle', lotIds })
  })

  it('a diamond is no cycle', () => {
    const rows = parents({ top: { left: 1, right: 1 }, left: { root: 1 }, right: { root: 1 } })
    expect(inWords(sharesIn('top', rows))).toEqual({ root: '1' })
  })

  it.each([0, -3, 1.5, Number.NaN])('a part of %d pieces is marked and named', (quantity) => {
    const result = sharesOf('mix', parents({ mix: { a: 4, b: quantity } }))
    expect(result).toMatchObject({ ok: false, problem: 'quantity', lotIds: ['mix'] })
    expect(result.ok ? '' : result.message).toContain('from lot b')
  })

  it('gives an end to every walk, with shares or with a marked fault', () => {
    const ids = ['a', 'b', 'c', 'd', 'e']
    const anyParts = fc.array(
      fc.record({ lotId: fc.constantFrom(...ids), quantity: fc.integer({ min: -1, max: 9 }) }),
      { maxLength: 3 },
    )
    fc.assert(
      fc.property(fc.array(anyParts, { minLength: 5, maxLength: 5 }), (all) => {
        const rows = new Map(ids.map((id, index) => [id, all[index] ?? []]))
        const result = sharesOf('a', rows)
        if (result.ok) expect(sum(result.shares)).toEqual(ONE)
        else expect(result.message).toContain('withdraw')
      }),
    )
  })

  it('a mixture of nothing, or of no pieces, is refused', () => {
    expect(() => combineShares([])).toThrow('at least one part')
    expect(() => combineShares([{ quantity: 0, shares: new Map([['a', ONE]]) }])).toThrow('not 0')
  })
})

describe('a fraction', () => {
  it('is kept in lowest terms with a positive denominator', () => {
    expect(fraction(-6n, -8n)).toEqual({ numerator: 3n, denominator: 4n })
    expect(fraction(6n, -8n)).toEqual({ numerator: -3n, denominator: 4n })
    expect(fraction(0n, 7n)).toEqual(ZERO)
    expect(() => fraction(1n, 0n)).toThrow(RangeError)
  })

  it('turns into the nearest number, however many digits it has', () => {
    const huge = 10n ** 400n
    expect(fractionToNumber(fraction(huge, 3n * huge))).toBe(1 / 3)
    expect(fractionToNumber(fraction(7n, 2n))).toBe(3.5)
    expect(fractionToNumber(fraction(-1n, 3n))).toBe(-1 / 3)
  })
})

/** Lots l0, l1, …: each is a first lot or made of lots before it, so that no cycle can arise. */
const anyLineage: fc.Arbitrary<ParentsByLot> = fc
  .array(fc.array(fc.tuple(fc.nat(), fc.integer({ min: 1, max: 1000 })), { maxLength: 4 }), {
    minLength: 1,
    maxLength: 14,
  })
  .map((lots) => {
    const rows = lots.map((parts, index): [string, ParentPart[]] => [
      `l${index}`,
      index === 0
        ? []
        : parts.map(([choice, quantity]) => ({ lotId: `l${choice % index}`, quantity })),
    ])
    return new Map(rows)
  })
