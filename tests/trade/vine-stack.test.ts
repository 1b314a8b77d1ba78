// A vine's layers and attempts over the years.
import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { MS_PER_DAY } from '#trade/intervals.ts'
import { GRAFTING_ROUND_DAYS, originLots, vineStack } from '#trade/vine-stack.ts'
import type { GraftAttempt, TrunkLayer, VineStack } from '#trade/vine-stack.ts'

const SPRING_2020 = Date.UTC(2020, 3, 10)
const SPRING_2026 = Date.UTC(2026, 3, 10)

const ROOTSTOCK: TrunkLayer = {
  role: 'rootstock',
  varietyId: 'rootstock-a',
  clone: '5',
  origin: { kind: 'source', sourceId: 'source-r' },
  plantedYear: 2008,
}

interface Changes extends Partial<GraftAttempt> {
  readonly seen?: [growing: number, callused: number, failed: number]
}

function graft(graftId: string, { seen, ...changes }: Changes = {}): GraftAttempt {
  const graftedAt = changes.graftedAt ?? SPRING_2020
  const [growing, callused, failed] = seen ?? [0, 0, 0]
  const check = { checkId: 'c1', checkedAt: graftedAt + 40 * MS_PER_DAY }
  return {
    graftId,
    lotId: `lot-${graftId}`,
    varietyId: `variety-${graftId}`,
    clone: null,
    method: 'chip bud',
    budCount: 1,
    graftedAt,
    removedAt: null,
    takeChecks: seen === undefined ? [] : [{ ...check, growing, callused, failed }],
    ...changes,
  }
}

const grown = (id: string, changes: Changes = {}) => graft(id, { seen: [1, 0, 0], ...changes })
const failed = (id: string, changes: Changes = {}) => graft(id, { seen: [0, 0, 1], ...changes })

function drawn(stack: VineStack): string[] {
  return stack.layers.map(({ role, varietyId }) => `${role} ${varietyId}`)
}

describe('the outcome of an attempt', () => {
  it.each([
    ['growing', graft('a', { budCount: 2, seen: [1, 0, 1] })],
    ['callused', graft('a', { budCount: 2, seen: [0, 1, 1] })],
    ['failed', graft('a', { budCount: 2, seen: [0, 0, 2] })],
    ['not checked', graft('a', { budCount: 2, seen: [0, 0, 1] })],
    ['not checked', graft('a', { budCount: 2, seen: [0, 0, 0] })],
    ['not checked', graft('a')],
    ['removed', grown('a', { removedAt: SPRING_2026 })],
  ])('is %s by the buds seen', (outcome, attempt) => {
    expect(vineStack([ROOTSTOCK], [attempt]).attempts[0]?.outcome).toBe(outcome)
  })

  it('goes by the latest check, whatever order the checks arrive in', () => {
    const early = { checkId: 'c2', checkedAt: 1000, growing: 1, callused: 0, failed: 0 }
    const late = { checkId: 'c1', checkedAt: 2000, growing: 0, callused: 0, failed: 1 }
    for (const takeChecks of [
      [early, late],
      [late, early],
    ]) {
      const stack = vineStack([ROOTSTOCK], [graft('a', { takeChecks })])
      expect(stack.attempts[0]).toMatchObject({ outcome: 'failed', latestCheck: late })
    }
  })

  it('goes by the entry made later when two checks bear the same time', () => {
    const first = { checkId: 'c1', checkedAt: 1000, growing: 0, callused: 0, failed: 1 }
    const correction = { checkId: 'c2', checkedAt: 1000, growing: 1, callused: 0, failed: 0 }
    for (const takeChecks of [
      [first, correction],
      [correction, first],
    ]) {
      const stack = vineStack([ROOTSTOCK], [graft('a', { takeChecks })])
      expect(stack.attempts[0]?.outcome).toBe('growing')
    }
  })
})

describe('the layers of a vine', () => {
  it('are the trunk alone before any graft', () => {
    const interstock: TrunkLayer = { ...ROOTSTOCK, role: 'interstock', varietyId: 'white' }
    expect(drawn(vineStack([ROOTSTOCK, interstock], []))).toEqual([
      'rootstock rootstock-a',
      'interstock white',
    ])
  })

  it('two buds from two lots give two scions side by side', () => {
    const stack = vineStack([ROOTSTOCK], [grown('a'), grown('b')])
    expect(drawn(stack)).toEqual(['rootstock rootstock-a', 'scion variety-a', 'scion variety-b'])
  })

  it('two grafts of one lot give one scion that names both', () => {
    const same = { lotId: 'lot-x', varietyId: 'x' }
    const stack = vineStack([ROOTSTOCK], [grown('a', same), grown('b', same)])
    expect(stack.layers.at(-1)).toMatchObject({ role: 'scion', graftIds: ['a', 'b'] })
    expect(stack.layers).toHaveLength(2)
  })

  it('a graft that grows in a later season turns the former scion into interstock', () => {
    const stack = vineStack([ROOTSTOCK], [grown('a'), grown('b', { graftedAt: SPRING_2026 })])
    expect(drawn(stack)).toEqual([
      'rootstock rootstock-a',
      'interstock variety-a',
      'scion variety-b',
    ])
  })

  it('a third variety makes interstocks of both before it, in the order of time', () => {
    const stack = vineStack(
      [ROOTSTOCK],
      [
        grown('c', { graftedAt: SPRING_2026 }),
        grown('a', { graftedAt: Date.UTC(2014, 3, 10) }),
        grown('b', { graftedAt: SPRING_2020 }),
      ],
    )
    expect(drawn(stack)).toEqual([
      'rootstock rootstock-a',
      'interstock variety-a',
      'interstock variety-b',
      'scion variety-c',
    ])
  })

  it.each([
    ['failed', failed('b', { graftedAt: SPRING_2026 })],
    ['was removed', grown('b', { graftedAt: SPRING_2026, removedAt: SPRING_2026 + 1 })],
  ])('a later graft that %s leaves the former scion a scion', (_how, later) => {
    const stack = vineStack([ROOTSTOCK], [grown('a'), later])
    expect(drawn(stack)).toEqual(['rootstock rootstock-a', 'scion variety-a'])
  })

  it('a later graft not yet checked is shown as a scion not yet established', () => {
    const stack = vineStack([ROOTSTOCK], [grown('a'), graft('b', { graftedAt: SPRING_2026 })])
    expect(stack.layers.map(({ role, established }) => [role, established])).toEqual([
      ['rootstock', true],
      ['scion', true],
      ['scion', false],
    ])
  })

  it('a miss grafted again in the same season stands beside the bud that took', () => {
    const again = grown('c', { graftedAt: SPRING_2020 + 45 * MS_PER_DAY })
    const stack = vineStack([ROOTSTOCK], [grown('a'), failed('b'), again])
    expect(drawn(stack)).toEqual(['rootstock rootstock-a', 'scion variety-a', 'scion variety-c'])
  })

  it.each([
    [GRAFTING_ROUND_DAYS, 'scion'],
    [GRAFTING_ROUND_DAYS + 1, 'interstock'],
  ])('after %i days the former scion is %s', (days, role) => {
    const graftedAt = SPRING_2020 + days * MS_PER_DAY
    const stack = vineStack([ROOTSTOCK], [grown('a'), grown('b', { graftedAt })])
    expect(stack.layers[1]).toMatchObject({ varietyId: 'variety-a', role })
  })

  it('a graft recorded as set on the trunk leaves the others scions', () => {
    const beside = grown('b', { graftedAt: SPRING_2026, setOn: 'trunk' })
    expect(drawn(vineStack([ROOTSTOCK], [grown('a'), beside]))).toEqual([
      'rootstock rootstock-a',
      'scion variety-a',
      'scion variety-b',
    ])
  })

  it('a graft recorded as set on one of two scions makes interstock of that one only', () => {
    const onB = grown('c', { graftedAt: SPRING_2026, setOn: { graftId: 'b' } })
    expect(drawn(vineStack([ROOTSTOCK], [grown('a'), grown('b'), onB]))).toEqual([
      'rootstock rootstock-a',
      'interstock variety-b',
      'scion variety-a',
      'scion variety-c',
    ])
  })
})

describe('the origins of a vine', () => {
  it('are those of every layer, the interstock too, and not only of the scion', () => {
    const stack = vineStack([ROOTSTOCK], [grown('a'), grown('b', { graftedAt: SPRING_2026 })])
    expect(originLots(stack)).toEqual({
      lotIds: ['lot-a', 'lot-b'],
      sourceIds: ['source-r'],
      originUnknown: false,
      touchedLotIds: [],
    })
  })

  it('name the lots of failed and removed grafts apart: they touched the vine', () => {
    const gone = grown('c', { removedAt: SPRING_2026 })
    const origins = originLots(vineStack([ROOTSTOCK], [grown('a'), failed('b'), gone]))
    expect(origins.lotIds).toEqual(['lot-a'])
    expect(origins.touchedLotIds).toEqual(['lot-b', 'lot-c'])
  })

  it('are unknown in part when a layer says so, or when the trunk is not recorded', () => {
    const unknown: TrunkLayer = { ...ROOTSTOCK, origin: { kind: 'unknown' } }
    expect(originLots(vineStack([unknown], [grown('a')])).originUnknown).toBe(true)
    expect(originLots(vineStack([], [grown('a')])).originUnknown).toBe(true)
    expect(originLots(vineStack([ROOTSTOCK], [grown('a')])).originUnknown).toBe(false)
  })
})

describe('whatever is grafted', () => {
  const anyAttempts = fc.uniqueArray(
    fc.record({
      graftId: fc.constantFrom('a', 'b', 'c', 'd', 'e', 'f'),
      lotId: fc.constantFrom('l1', 'l2', 'l3'),
      varietyId: fc.constantFrom('v1', 'v2'),
      clone: fc.constant(null),
      method: fc.constant('cleft'),
      budCount: fc.integer({ min: 1, max: 3 }),
      graftedAt: fc.integer({ min: 0, max: 12 }).map((n) => SPRING_2020 + n * 100 * MS_PER_DAY),
      removedAt: fc.option(fc.constant(SPRING_2026)),
      setOn: fc.option(
        fc.oneof(
          fc.constant('trunk' as const),
          fc.record({ graftId: fc.constantFrom('a', 'b', 'c') }),
        ),
      ),
      takeChecks: fc.uniqueArray(
        fc.record({
          checkId: fc.constantFrom('c1', 'c2', 'c3', 'c4'),
          checkedAt: fc.integer({ min: 0, max: 2 }),
          growing: fc.integer({ min: 0, max: 2 }),
          callused: fc.integer({ min: 0, max: 2 }),
          failed: fc.integer({ min: 0, max: 2 }),
        }),
        { selector: (check) => check.checkId },
      ),
    }),
    { selector: (attempt) => attempt.graftId },
  )

  it('every living graft is in exactly one layer, and no failed or removed one in any', () => {
    fc.assert(
      fc.property(anyAttempts, (attempts) => {
        const stack = vineStack([ROOTSTOCK], attempts)
        const living = stack.attempts.filter(
          ({ outcome }) => outcome !== 'failed' && outcome !== 'removed',
        )
        const inLayers = stack.layers.flatMap((layer) => layer.graftIds)
        expect(inLayers.toSorted()).toEqual(living.map(({ graftId }) => graftId).toSorted())
      }),
    )
  })

  it('the order in which attempts and checks arrive changes nothing', () => {
    fc.assert(
      fc.property(anyAttempts, (attempts) => {
        const turned = attempts.toReversed().map((attempt) => {
          return { ...attempt, takeChecks: attempt.takeChecks.toReversed() }
        })
        const straight = vineStack([ROOTSTOCK], attempts)
        const other = vineStack([ROOTSTOCK], turned)
        expect(other.layers).toEqual(straight.layers)
        const brief = (stack: VineStack) => stack.attempts.map((a) => [a.graftId, a.outcome])
        expect(brief(other)).toEqual(brief(straight))
      }),
    )
  })

  it('an interstock always carries a graft that grows', () => {
    fc.assert(
      fc.property(anyAttempts, (attempts) => {
        const { layers } = vineStack([ROOTSTOCK], attempts)
        if (!layers.some((layer) => layer.role === 'interstock')) return
        expect(layers.some((layer) => layer.role === 'scion' && layer.established)).toBe(true)
      }),
    )
  })
})
