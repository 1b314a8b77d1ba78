// Package counts against the published table.
import { describe, expect, test } from 'vitest'
import {
  advisePackageCount,
  allowedCounts,
  describePackageRule,
  scionPackageKind,
  type PackageKind,
} from '../../api/trade/package-count.ts'

// RebPflV 1986 Anlage 3 (BGBl. I 2006 p. 1442), transposing Directive 68/193/EEC Annex III:
// every count that the table allows, written out.
const published: [PackageKind, number[]][] = [
  ['grafted_vine', [25, 50, 100, 200, 300, 400, 500]],
  ['rooted_vine', [50, 100, 200, 300, 400, 500]],
  ['scion_five_eyes', [100, 200]],
  ['scion_one_eye', [500, 1000, 1500, 2000, 2500, 3000, 3500, 4000, 4500, 5000]],
  ['rootstock_cutting', [100, 200, 300, 400, 500, 600, 700, 800, 900, 1000]],
  ['nursery_cutting', [100, 200, 300, 400, 500]],
]

describe('package counts', () => {
  test.each(published)('%s: exactly the counts of the published table stand', (kind, counts) => {
    expect(allowedCounts(kind)).toEqual(counts)
    const standing: number[] = []
    for (let pieces = 1; pieces <= 6000; pieces++) {
      if (advisePackageCount(kind, pieces).standing === 'listed') standing.push(pieces)
    }
    expect(standing).toEqual(counts)
  })

  test('a listed count gives no warning', () => {
    expect(advisePackageCount('grafted_vine', 25)).toEqual({
      standing: 'listed',
      countBelow: 25,
      countAbove: 25,
      warning: null,
    })
  })

  test('a count below the smallest is a small quantity, which the annex allows if needed', () => {
    const advice = advisePackageCount('scion_five_eyes', 60)
    expect(advice).toMatchObject({ standing: 'small_quantity', countBelow: null, countAbove: 100 })
    expect(advice.warning).toMatch(/60 pieces .*allowed only where it is needed.*100 or 200/)
  })

  test('a count between two listed counts names both neighbours', () => {
    const advice = advisePackageCount('scion_five_eyes', 150)
    expect(advice).toMatchObject({ standing: 'between_counts', countBelow: 100, countAbove: 200 })
    expect(advice.warning).toMatch(/the nearest are 100 and 200/)
  })

  test.each(published)('%s: one piece more than the maximum is over it', (kind, counts) => {
    const maximum = counts.at(-1) ?? 0
    expect(advisePackageCount(kind, maximum + 1).standing).toBe('over_maximum')
  })

  test('scion wood of two to four eyes has no row in the table', () => {
    expect([1, 2, 3, 4, 5, 8].map(scionPackageKind)).toEqual([
      'scion_one_eye',
      null,
      null,
      null,
      'scion_five_eyes',
      'scion_five_eyes',
    ])
  })

  test('the table row is said in words', () => {
    expect(describePackageRule('grafted_vine')).toBe('25 or 50 or a multiple of 100, at most 500')
    expect(describePackageRule('scion_five_eyes')).toBe('100 or 200, at most 200')
  })

  test.each([0, -1, 1.5, Number.NaN, Number.POSITIVE_INFINITY])(
    'a package of %s pieces is refused by name',
    (pieces) => {
      expect(() => advisePackageCount('rooted_vine', pieces)).toThrow(/whole number of pieces/)
    },
  )
})
