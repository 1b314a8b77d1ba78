// Tonight's list ticks itself off by the wood that came into water, and by nothing else.
import { describe, expect, it } from 'vitest'
import { pullOf, pullsOf, woodOfPull } from '../../../scanner/jobs/tonight/pulls.ts'
import type { PullLine } from '../../../scanner/jobs/tonight/pulls.ts'
import type { KeptTonight, PhoneLot, PhoneStock } from '../../../scanner/phone.ts'
import { inWaterOf } from '../../../scanner/snapshot/tonight.ts'

const room = { kind: 'place' as const, id: 'room' }
const bath = { kind: 'bath' as const, id: 'bath' }

const stock = (account: PhoneStock['account'], bundleId: string | null, sticks: number) => {
  return { account, bundleId, sticks, buds: 0 }
}

/** Only what the list looks at. */
const lotWith = (...held: PhoneStock[]) =>
  ({ lotId: 'lot', budsPerStick: 6, stock: held }) as unknown as PhoneLot

const line = (bundleId: string | null, sticks: number, changes: Partial<PullLine> = {}) => ({
  ...{ lotId: 'lot', reference: '27-014', bundleId, bundleNumber: 1, tagCode: null },
  ...{ variety: null, clone: null, accountKind: 'place', accountId: 'room', from: 'Room' },
  ...{ sticks, buds: sticks * 6, isWhole: false, stays: false, tankId: 'tank', cautions: [] },
  ...changes,
})

function keptOf(lines: PullLine[], lot: PhoneLot): KeptTonight {
  const list = {
    ...{ readyAt: '2027-02-04T06:30:00Z', intoWaterAt: null, soakHours: null },
    ...{ outOfWaterAt: '2027-02-04T06:00:00Z', problems: [], needs: [], lines, tanks: [] },
  }
  const fetched = { rowIds: [], fetchedAt: '2027-02-03T15:00:00Z', list }
  return { ...fetched, inWater: inWaterOf(list, () => lot) }
}

const states = (kept: KeptTonight, lot: PhoneLot) =>
  pullsOf(kept, () => lot).map(({ state }) => state)

describe('a line of tonight’s list', () => {
  it('is done once as many sticks as it asks for came into water, and not before', () => {
    const before = lotWith(stock(room, 'b1', 30))
    const kept = keptOf([line('b1', 20)], before)
    expect(states(kept, before)).toEqual(['to pull'])
    const some = lotWith(stock(room, 'b1', 11), stock(bath, 'b1', 19))
    expect(states(kept, some)).toEqual(['to pull'])
    const all = lotWith(stock(room, 'b1', 10), stock(bath, 'b1', 20))
    expect(states(kept, all)).toEqual(['in water'])
  })

  it('is not done by sticks that lay in water before, or by another bundle’s', () => {
    const before = lotWith(stock(bath, 'b1', 25), stock(room, 'b1', 30), stock(room, 'b2', 30))
    const kept = keptOf([line('b1', 25, { stays: true }), line('b1', 20), line('b2', 5)], before)
    expect(states(kept, before)).toEqual(['leave', 'to pull', 'to pull'])
    const after = lotWith(stock(bath, 'b1', 45), stock(room, 'b1', 10), stock(room, 'b2', 30))
    expect(states(kept, after)).toEqual(['leave', 'in water', 'to pull'])
  })

  it('that is parted over two tanks is done in the order of the list', () => {
    const before = lotWith(stock(room, null, 40))
    const kept = keptOf([line(null, 10), line(null, 20, { tankId: 'other' })], before)
    const first = lotWith(stock(room, null, 25), stock(bath, null, 15))
    expect(states(kept, first)).toEqual(['in water', 'to pull'])
    const pulls = pullsOf(kept, () => first)
    expect(pullOf(pulls, { lotId: 'lot', bundleId: null })?.nr).toBe(1)
    expect(pullOf(pulls, { lotId: 'lot', bundleId: 'b9' })).toBeNull()
  })

  it('asks for no more than is there, from where the phone knows it to be', () => {
    const moved = lotWith(stock({ kind: 'place', id: 'bench' }, 'b1', 12))
    expect(woodOfPull(line('b1', 20), moved).portion).toEqual({
      ...{ lotId: 'lot', bundleId: 'b1', sticks: 12, buds: 0 },
      from: { kind: 'place', id: 'bench' },
    })
    const unknown = woodOfPull(line('b1', 20), lotWith())
    expect(unknown.portion).toMatchObject({ sticks: 20, from: room })
    expect(unknown.known).toEqual({ sticks: 0, buds: 0 })
  })
})
