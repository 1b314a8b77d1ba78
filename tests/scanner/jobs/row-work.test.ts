// Walking a row: which vine comes next, what is left, and where a killed tab takes up again.
import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { reasonOf } from '../../../api/trade/reasons.ts'
import { disinfectDraft, graftDraft, skipDraft } from '../../../scanner/jobs/graft/graft-drafts.ts'
import { marksOf, paceOf, standingOf, unreadWarnings } from '../../../scanner/jobs/graft/session.ts'
import type { GraftSession } from '../../../scanner/jobs/graft/session.ts'
import { UNDO_LIMIT } from '../../../scanner/jobs/row-session.ts'
import { budsLeft, heldStock, likelyAccount, wholeSticks } from '../../../scanner/jobs/held.ts'
import { handOf, withTaken } from '../../../scanner/jobs/wood/taken-over.ts'
import {
  firstPosition,
  graftedIn,
  reach,
  runs,
  shownNumber,
  standsIn,
} from '../../../scanner/jobs/walk.ts'
import { entryOf, graftOf, lotWith, uuid, vineOf } from './invented.ts'

const rowId = uuid(50)
const session: GraftSession = {
  lotId: uuid(1),
  bundleId: null,
  from: { kind: 'holder', id: uuid(9) },
  method: 'chip bud',
  tie: null,
  rowId,
  start: 1,
  step: 1,
  countedFrom: 'head',
  afterCounter: 100,
  beganCounter: 100,
  accepted: [],
  undone: [],
}
const graftAt = (position: number, row = rowId) =>
  graftDraft(session, { rowId: row, position }, 2, null)
const skipAt = (position: number) => skipDraft({ rowId, position }, 'too thin')

describe('the walk along a row', () => {
  it('visits every vine that stands once, from either end, and passes over the missing', () => {
    const layout = fc.integer({ min: 1, max: 80 }).chain((positionCount) =>
      fc.record({
        positionCount: fc.constant(positionCount),
        missing: fc.uniqueArray(fc.integer({ min: 1, max: positionCount })),
      }),
    )
    fc.assert(
      fc.property(layout, fc.constantFrom(1 as const, -1 as const), (row, step) => {
        const stands = standsIn(row.missing.map((position) => vineOf(position, { missing: true })))
        const visited: number[] = []
        const passed: number[] = []
        let from = firstPosition(row, step)
        for (;;) {
          const { position, passedOver } = reach(row, from, step, stands)
          passed.push(...passedOver)
          if (position === null) break
          visited.push(position)
          from = position + step
        }
        const all = Array.from({ length: row.positionCount }, (_, nr) => nr + 1)
        const ordered = [...visited].sort((one, other) => one - other)
        expect(ordered).toEqual(all.filter((position) => !row.missing.includes(position)))
        expect(visited).toEqual(step === 1 ? ordered : ordered.reverse())
        expect(passed.length + visited.length).toBe(row.positionCount)
      }),
    )
  })

  it('a number counted from the far end leads back to the same vine', () => {
    fc.assert(
      fc.property(fc.integer({ min: 1, max: 2000 }), fc.nat(), (positionCount, nr) => {
        const position = (nr % positionCount) + 1
        const row = { positionCount }
        const shown = shownNumber(row, position, 'far')
        expect(shownNumber(row, shown, 'far')).toBe(position)
        expect(shownNumber(row, position, 'head')).toBe(position)
      }),
    )
    expect(shownNumber({ positionCount: 60 }, 60, 'far')).toBe(1)
  })

  it('a take check stops only where a graft still is', () => {
    const vines = [
      vineOf(1),
      vineOf(2, { grafts: [graftOf(1)] }),
      vineOf(3, { grafts: [graftOf(2, { removed: true })] }),
      vineOf(4, { missing: true, grafts: [graftOf(3)] }),
      vineOf(5, { grafts: [graftOf(4, { removed: true }), graftOf(5)] }),
    ]
    const grafted = graftedIn(vines)
    expect([1, 2, 3, 4, 5, 6].filter(grafted)).toEqual([2, 5])
  })

  it('positions are said in runs', () => {
    expect(runs([22, 7, 21])).toEqual(['7', '21–22'])
    expect(runs([])).toEqual([])
  })
})

describe('where a stretch of grafting stands', () => {
  it('goes on after the vine written last, and before the first at the start', () => {
    expect(standingOf(session, []).from).toBe(1)
    const entries = [entryOf(graftAt(1), 101), entryOf(skipAt(2), 102), entryOf(graftAt(3), 103)]
    expect(standingOf(session, entries)).toMatchObject({ from: 4, grafted: 2, skipped: 1, buds: 4 })
    expect(standingOf(session, [...entries].reverse())).toEqual(standingOf(session, entries))
  })

  it('comes back to a vine that was taken back, but not for one further behind', () => {
    const [one, two, three] = [1, 2, 3].map((position) =>
      entryOf(graftAt(position), 100 + position),
    )
    if (one === undefined || two === undefined || three === undefined) throw new Error('three')
    expect(standingOf(session, [one, two]).from).toBe(3)
    expect(standingOf(session, [one, three]).from).toBe(4)
  })

  it('leaves other rows, earlier work and blades out of the walk', () => {
    const entries = [
      entryOf(graftAt(40), 99),
      entryOf(graftAt(1), 101),
      entryOf(graftAt(30, uuid(51)), 102),
      entryOf(disinfectDraft(null, null, { rowId, position: 55 }), 103),
    ]
    const standing = standingOf(session, entries)
    expect(standing.from).toBe(2)
    expect([standing.grafted, standing.graftedHere]).toEqual([2, 1])
    expect(standing.last.map((work) => work.what)).toEqual(['disinfect', 'graft', 'graft'])
  })

  it('after a jump, what was written before it no longer moves the walk', () => {
    const entries = [entryOf(graftAt(1), 101), entryOf(graftAt(2), 102)]
    const jumped = { ...session, start: 20, afterCounter: 102 }
    expect(standingOf(jumped, entries)).toMatchObject({ from: 20, grafted: 2 })
    expect(standingOf(jumped, [...entries, entryOf(graftAt(20), 103)]).from).toBe(21)
    const back = { ...jumped, step: -1 as const }
    expect(standingOf(back, [...entries, entryOf(graftAt(20), 103)]).from).toBe(19)
  })

  it('offers at most the last ten to be taken back, newest first', () => {
    const entries = Array.from({ length: 14 }, (_, nr) => entryOf(graftAt(nr + 1), 101 + nr))
    const { last } = standingOf(session, entries)
    expect(last.map((work) => work.position)).toEqual([14, 13, 12, 11, 10, 9, 8, 7, 6, 5])
    expect(last).toHaveLength(UNDO_LIMIT)
  })
})

describe('the pace', () => {
  const minutes = (...at: number[]) => at.map((minute) => minute * 60_000)

  it('is vines an hour, from the vines since the last pause', () => {
    expect(paceOf(minutes(0, 2, 4, 6))).toBe(30)
    expect(paceOf(minutes(0, 60, 62, 64, 66))).toBe(30)
  })

  it('is not said from fewer than three vines, nor from times that do not pass', () => {
    expect(paceOf([])).toBeNull()
    expect(paceOf(minutes(0, 2))).toBeNull()
    expect(paceOf(minutes(5, 5, 5))).toBeNull()
  })

  it('looks back on twenty vines, so that a slow morning is forgotten', () => {
    const slow = Array.from({ length: 10 }, (_, nr) => nr * 9)
    const fast = Array.from({ length: 21 }, (_, nr) => 90 + nr)
    expect(paceOf(minutes(...slow, ...fast))).toBe(60)
  })
})

describe('warnings', () => {
  const stale = reasonOf('snapshot.stale', { snapshotAt: 0, ageMinutes: 1500, limitHours: 24 })
  const soaked = reasonOf('soak.right', { soakedMinutes: 600, maxHours: 24, inWater: 'no' })
  const held = reasonOf('hold.lot', { holdId: 'h', subjectId: 's', agentId: null })

  it('are shown once, and again only when something new speaks against the wood', () => {
    const first = { verdict: 'caution' as const, reasons: [stale, soaked] }
    expect(unreadWarnings(first, [])).toEqual([stale])
    const accepted = marksOf([stale])
    expect(unreadWarnings(first, accepted)).toEqual([])
    const worse = { verdict: 'stop' as const, reasons: [held, stale, soaked] }
    expect(unreadWarnings(worse, accepted)).toEqual([held])
  })

  it('a caution that was read does not cover the same reason once it stops', () => {
    const contact = { holdId: 'h', subjectId: 's', agentId: null, route: null }
    const mild = reasonOf('hold.contact', contact, 'caution')
    const hard = reasonOf('hold.contact', contact, 'stop')
    const judgement = { verdict: 'stop' as const, reasons: [hard] }
    expect(unreadWarnings(judgement, marksOf([mild]))).toEqual([hard])
  })
})

describe('what is held', () => {
  const me = uuid(9)
  const crew = uuid(10)
  const room = uuid(11)
  const stock = (kind: 'holder' | 'place' | 'source', id: string, sticks: number, buds = 0) => ({
    account: { kind, id },
    bundleId: null,
    sticks,
    buds,
  })

  it('what this person has in hand comes first, then any hand, then where it lies', () => {
    const lot = lotWith([
      stock('source', uuid(12), -100),
      stock('place', room, 50),
      stock('holder', crew, 20),
      stock('holder', me, 10),
    ])
    const order = heldStock(lot, null, me).map((one) => one.account.id)
    expect(order).toEqual([me, crew, room])
    expect(likelyAccount(lot, null, me)).toEqual({ kind: 'holder', id: me })
    expect(likelyAccount(lot, null, null)).toEqual({ kind: 'holder', id: crew })
  })

  it('where the phone knows of none, the wood is in this person’s hand', () => {
    expect(likelyAccount(lotWith([]), null, me)).toEqual({ kind: 'holder', id: me })
    const gone = lotWith([stock('holder', crew, 20, -120)])
    expect(likelyAccount(gone, null, me)).toEqual({ kind: 'holder', id: me })
  })

  it('wood that this phone took over is in those hands, until the records know of a hand', () => {
    const wood = { lotId: uuid(1), bundleId: uuid(21), from: { kind: 'place' as const, id: room } }
    const taken = withTaken([], { lotId: uuid(1), bundleId: uuid(21), holderId: crew })
    expect(handOf(taken, wood)).toEqual({ kind: 'holder', id: crew })
    expect(handOf(taken, { ...wood, bundleId: null })).toEqual(wood.from)
    const known = { kind: 'holder' as const, id: me }
    expect(handOf(taken, { ...wood, from: known })).toEqual(known)
    expect(handOf([], wood)).toEqual(wood.from)
  })

  it('sticks and buds are counted together: 40 sticks of 6 less 130 buds are 110 buds', () => {
    const lot = lotWith([stock('holder', crew, 40, -130)])
    expect(budsLeft(lot, { kind: 'holder', id: crew }, null)).toBe(110)
    expect(wholeSticks(lot, { sticks: 40, buds: -130 })).toBe(18)
    expect(wholeSticks(lot, { sticks: 2, buds: -130 })).toBe(0)
  })
})
