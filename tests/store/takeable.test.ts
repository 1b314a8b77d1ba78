// What can be taken of wood whose sticks were opened for buds, and which wood a form chooses.
import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { NIL_ID } from '#wire/basics.ts'
import { budEquivalents } from '#trade/stock-left.ts'
import { chooseWood, woodOf } from '../../api/store/choose-wood.ts'
import { positionKey, takeable } from '../../api/store/positions.ts'
import type { BalanceRow, WoodPosition } from '../../api/store/positions.ts'
import { idOf } from '../sim/season.ts'

const crew = idOf('crew')
const bundle = (nr: number) => idOf(`bundle ${nr}`)

function row(bundleId: string, sticks: number, buds: number, budsPerStick = 6): BalanceRow {
  return {
    lot_id: idOf('lot'),
    bundle_id: bundleId,
    account_kind: 'holder',
    account_id: crew,
    reference: '27-001',
    material: 'scion wood',
    variety: 'Alba Fina',
    clone: null,
    buds_per_stick: budsPerStick,
    bundle_number: bundleId === NIL_ID ? null : 1,
    sticks,
    buds,
    first_at: new Date('2027-02-01T08:00:00Z'),
    last_at: new Date('2027-02-01T08:00:00Z'),
  }
}

const left = (rows: BalanceRow[]) => takeable(rows).map(({ sticks, buds }) => [sticks, buds])

describe('takeable', () => {
  it('counts 40 sticks of 6 buds less 130 buds as 18 whole sticks and 2 buds', () => {
    expect(left([row(NIL_ID, 40, -130)])).toEqual([[18, 2]])
  })

  it('leaves untouched wood as it is', () => {
    expect(left([row(NIL_ID, 40, 0), row(bundle(1), 10, 7)])).toEqual([
      [40, 0],
      [10, 7],
    ])
  })

  it('takes buds that name no bundle off the bundles, the first ones first', () => {
    const rows = [row(NIL_ID, 0, -130), row(bundle(1), 20, 0), row(bundle(2), 20, 0)]
    expect(left(rows)).toEqual([[18, 2]])
  })

  it('leaves out an account that shows less than nothing', () => {
    expect(left([row(NIL_ID, 10, -61)])).toEqual([])
  })

  it('counts wood without usable buds by the stick', () => {
    expect(left([row(NIL_ID, 12, 0, 0)])).toEqual([[12, 0]])
  })

  it('never offers more in all than the account holds, and never less than nothing', () => {
    const part = fc.record({
      sticks: fc.integer({ min: -5, max: 40 }),
      buds: fc.integer({ min: -200, max: 40 }),
    })
    fc.assert(
      fc.property(
        fc.array(part, { minLength: 1, maxLength: 6 }),
        fc.integer({ min: 0, max: 8 }),
        (parts, perStick) => {
          const rows = parts.map(({ sticks, buds }, nr) =>
            row(nr === 0 ? NIL_ID : bundle(nr), sticks, buds, perStick),
          )
          const worth = (some: { sticks: number; buds: number }[]) =>
            some.reduce((sum, one) => sum + budEquivalents(one, perStick), 0)
          const offered = takeable(rows)
          expect(worth(offered)).toBe(Math.max(0, worth(rows)))
          for (const one of offered) {
            expect(one.sticks).toBeGreaterThanOrEqual(0)
            expect(one.buds).toBeGreaterThanOrEqual(0)
          }
        },
      ),
    )
  })
})

describe('choosing wood', () => {
  const position = (lot: string, nr: number | null, sticks: number, buds = 0): WoodPosition => {
    const lotId = idOf(lot)
    const bundleId = nr === null ? null : idOf(`${lot} ${nr}`)
    const account = { kind: 'place' as const, id: idOf('room') }
    return {
      key: positionKey(lotId, bundleId, account),
      lotId,
      reference: lot,
      material: 'scion wood',
      variety: null,
      clone: null,
      budsPerStick: 6,
      bundleId,
      bundleNumber: nr,
      account,
      accountName: 'Room',
      sticks,
      buds,
      firstAt: new Date(0),
      lastAt: new Date(0),
    }
  }
  const positions = [position('A', 1, 20), position('A', null, 5, 3), position('B', null, 9)]
  const [first, second, third] = positions.map(({ key }) => key)
  const request = (ticked: (string | undefined)[], counts: Record<string, string> = {}) => ({
    ticked: ticked.map((key) => key ?? ''),
    sticksOf: (key: string) => counts[`s ${key}`] ?? '',
    budsOf: (key: string) => counts[`b ${key}`] ?? '',
  })
  const chosen = (given: ReturnType<typeof request>, tags?: Parameters<typeof chooseWood>[2]) => {
    const result = chooseWood(positions, given, tags)
    return {
      problems: result.problems,
      wood: result.chosen.flatMap(woodOf).map(({ unit, count }) => `${count} ${unit}`),
    }
  }

  it('takes everything of a ticked position when no count is given', () => {
    expect(chosen(request([second]))).toEqual({ problems: [], wood: ['5 stick', '3 bud'] })
  })

  it('takes a count typed beside a position that was not ticked', () => {
    expect(chosen(request([], { [`s ${first ?? ''}`]: '7' })).wood).toEqual(['7 stick'])
  })

  it('takes buds alone when only buds were typed', () => {
    expect(chosen(request([second], { [`b ${second ?? ''}`]: '2' })).wood).toEqual(['2 bud'])
  })

  it('takes a position once that was ticked and scanned', () => {
    const tag = { code: '0000000000A', lotId: idOf('A'), bundleId: idOf('A 1'), what: 'bundle 1' }
    const tags = { tagged: [tag], problems: [] }
    expect(chosen(request([first, third]), tags).wood).toEqual(['20 stick', '9 stick'])
  })

  it('takes all of a lot whose own tag was scanned', () => {
    const tag = { code: '0000000000A', lotId: idOf('A'), bundleId: null, what: 'a whole lot' }
    const { wood } = chosen(request([]), { tagged: [tag], problems: [] })
    expect(wood).toEqual(['20 stick', '5 stick', '3 bud'])
  })

  it('refuses a position that is not there', () => {
    expect(chosen(request(['gone'])).problems).toMatchObject([{ field: 'wood' }])
  })

  it('names every count that is wrong at its own field', () => {
    const counts = { [`s ${first ?? ''}`]: '21', [`b ${second ?? ''}`]: 'x' }
    const { problems } = chosen(request([], counts))
    expect(problems.map(({ field }) => field)).toEqual([`sticks-${first}`, `buds-${second}`])
    expect(problems[0]?.message).toBe('A, bundle 1, Room: 20 sticks there, not 21 sticks')
  })
})
