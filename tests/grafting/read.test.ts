// Rows and vines read from the journal: states, lives of a position, stacks, take.
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { readRowVines, readVine, takeOfRows } from '../../api/grafting/read.ts'
import type { RowReading, VineReading } from '../../api/grafting/read.ts'
import { officeApp } from '../office-app.ts'
import type { OfficeApp } from '../office-app.ts'
import { check, graft, ids, layout, plan, smallNursery } from './small-nursery.ts'

let office: OfficeApp
beforeAll(async () => {
  office = await officeApp(new Date('2027-12-01T12:00:00Z'))
  await smallNursery(office)
})
afterAll(() => office.drop())

async function row(season: number | null = null, rowId = ids.row1): Promise<RowReading> {
  const reading = await readRowVines(office.services.db, rowId, season)
  if (reading === null) throw new Error('the row is not there')
  return reading
}

async function vine(position: number, rowId = ids.row1): Promise<VineReading> {
  const reading = await readVine(office.services.db, rowId, position)
  if (reading === null) throw new Error('the vine is not there')
  return reading
}

const stateAt = (reading: RowReading, position: number) =>
  reading.vines.find((one) => one.position === position)?.state

describe('the state of a vine', () => {
  it('follows from plan, graft, check, skip, removal and layout', async () => {
    const drafts = [
      plan({ fromPosition: 1, toPosition: 10 }),
      graft(2, '2027-04-02'),
      graft(3, '2027-04-02'),
      graft(4, '2027-04-02'),
      graft(5, '2027-04-02'),
    ]
    const [, , three, four, five] = await office.record(drafts)
    await office.record([
      check(3, '2027-05-10', [[three ?? '', 1, 0, 1]]),
      check(4, '2027-05-10', [[four ?? '', 0, 2, 0]]),
      check(5, '2027-05-10', [[five ?? '', 0, 0, 2]]),
      {
        kind: 'vine.skipped',
        body: { vine: { rowId: ids.row1, position: 6 }, reason: 'too thin' },
        occurredAt: new Date('2027-04-02T09:00:00Z'),
      },
      { kind: 'vine.removed', body: { rowId: ids.row1, position: 7, reason: 'trunk disease' } },
    ])
    const reading = await row()
    expect(reading.vines).toHaveLength(60)
    const states = [1, 2, 3, 4, 5, 6, 7, 11].map((position) => stateAt(reading, position))
    expect(states).toEqual([
      'planned',
      'grafted',
      'growing',
      'callused',
      'failed',
      'skipped',
      'removed',
      'standing',
    ])
    expect(stateAt(await row(null, ids.row2), 17)).toBe('missing')
    const counted = Object.values(reading.counts).reduce((sum, count) => sum + count, 0)
    expect(counted).toBe(60)
  })

  it('of another season tells only what was planned and done in it', async () => {
    const reading = await row(2026)
    expect(stateAt(reading, 3)).toBe('standing')
    expect(stateAt(reading, 7)).toBe('removed')
    expect(reading.seasons).toEqual([2027])
  })

  it('a later plan for part of a stretch covers the earlier one there and only there', async () => {
    await office.record([
      plan({ rowId: ids.row2, toPosition: 40 }),
      plan({ rowId: ids.row2, fromPosition: 5, toPosition: 6, varietyId: ids.red, clone: null }),
    ])
    const reading = await row(2027, ids.row2)
    const varieties = [4, 5, 6, 7].map((position) => reading.vines[position - 1]?.variety)
    expect(varieties).toEqual(['Alba Fina', 'Negra Sola', 'Negra Sola', 'Alba Fina'])
  })
})

describe('take of a row', () => {
  it('leaves vines and buds nobody looked at out of the denominator, and says so', async () => {
    const take = await takeOfRows(office.services.db, [await row()], 2027)
    // By hand: vines 2 (unseen), 3 (grows), 4 (callused), 5 (failed), two buds each.
    expect(take.vines).toMatchObject({ growing: 1, callused: 1, failed: 1, checked: 3 })
    expect(take.vines).toMatchObject({ notChecked: 1, share: 1 / 3 })
    expect(take.buds).toMatchObject({ growing: 1, callused: 2, failed: 3, checked: 6 })
    expect(take.buds).toMatchObject({ notChecked: 2, share: 1 / 6 })
  })

  it('of a season without grafts has no share', async () => {
    const take = await takeOfRows(office.services.db, [await row()], 2025)
    expect(take.vines).toMatchObject({ checked: 0, notChecked: 0, share: null })
  })
})

describe('two lots on one vine', () => {
  it('stand side by side as two layers, each with its own attempt and lot', async () => {
    const [white, red] = await office.record([
      graft(20, '2027-04-02', { budCount: 1 }),
      graft(20, '2027-04-02', { lotId: ids.redLot, budCount: 1 }),
    ])
    await office.record([
      check(20, '2027-05-10', [
        [white ?? '', 1, 0, 0],
        [red ?? '', 0, 0, 1],
      ]),
    ])
    const reading = await vine(20)
    expect(reading.lives).toHaveLength(1)
    const stack = reading.lives[0]?.stack
    expect(stack?.attempts.map((one) => [one.lotId, one.outcome])).toEqual([
      [ids.whiteLot, 'growing'],
      [ids.redLot, 'failed'],
    ])
    expect(stack?.layers.map((layer) => layer.role)).toEqual(['rootstock', 'scion'])
    expect(reading.now.state).toBe('growing')
  })

  it('looked at together count as one vine, and as neither lot alone', async () => {
    await office.record([
      graft(21, '2027-04-02', { budCount: 1 }),
      graft(21, '2027-04-02', { lotId: ids.redLot, budCount: 1 }),
      check(21, '2027-05-10', [[null, 1, 0, 1]]),
    ])
    const reading = await vine(21)
    expect(reading.now.state).toBe('growing')
    expect(reading.lives[0]?.stack.attempts.map((one) => one.outcome)).toEqual([
      'not checked',
      'not checked',
    ])
    const whole = await row()
    const only = { ...whole, records: whole.records.filter((one) => one.position === 21) }
    const take = await takeOfRows(office.services.db, [only], 2027)
    expect(take.vines).toMatchObject({ growing: 1, checked: 1 })
    expect(take.buds).toMatchObject({ growing: 1, failed: 1, checked: 2 })
  })

  it('seen all growing together are growing each', async () => {
    await office.record([
      graft(22, '2027-04-02', { budCount: 1 }),
      graft(22, '2027-04-02', { lotId: ids.redLot, budCount: 1 }),
      check(22, '2027-05-10', [[null, 2, 0, 0]]),
    ])
    const outcomes = (await vine(22)).lives[0]?.stack.attempts.map((one) => one.outcome)
    expect(outcomes).toEqual(['growing', 'growing'])
  })
})

describe('a new vine at a position', () => {
  it('does not inherit the grafts of the vine before it', async () => {
    await office.record([
      graft(30, '2027-03-01'),
      {
        kind: 'vine.planted',
        occurredAt: new Date('2027-06-01T08:00:00Z'),
        body: {
          rowId: ids.row1,
          position: 30,
          plantedYear: 2027,
          note: 'replanted',
          layers: [
            {
              role: 'rootstock',
              varietyId: ids.rootstock,
              clone: '4',
              origin: { kind: 'unknown' },
            },
          ],
        },
      },
      graft(30, '2027-07-01', { lotId: ids.redLot }),
    ])
    const reading = await vine(30)
    expect(reading.lives).toHaveLength(2)
    const lots = reading.lives.map(({ stack }) => stack.attempts.map((one) => one.lotId))
    expect(lots).toEqual([[ids.whiteLot], [ids.redLot]])
    expect(reading.lives[1]?.stack.layers[0]).toMatchObject({ clone: '4', plantedYear: 2027 })
    expect(reading.lives[0]?.life.endedBy?.what).toBe('planted')
  })

  it('stands where the layout had none, and the bare place before it is no vine', async () => {
    await office.record([
      {
        kind: 'vine.planted',
        occurredAt: new Date('2027-03-05T08:00:00Z'),
        body: { rowId: ids.row2, position: 17, plantedYear: 2027, note: '', layers: [] },
      },
    ])
    const reading = await vine(17, ids.row2)
    expect(reading.now.state).toBe('planned')
    expect(reading.lives).toHaveLength(1)
  })
})

describe('a row laid out again', () => {
  it('does not split a vine: a graft dated before the correction stays on it', async () => {
    await office.record([
      graft(40, '2027-04-02'),
      {
        kind: 'row.laid_out',
        occurredAt: new Date('2027-04-20T08:00:00Z'),
        body: layout({ missing: [41] }),
      },
    ])
    const reading = await vine(40)
    expect(reading.lives).toHaveLength(1)
    expect(reading.now.state).toBe('grafted')
    expect((await vine(41)).now.state).toBe('missing')
  })

  it('that counts a removed vine as standing means another vine', async () => {
    await office.record([
      graft(42, '2027-04-02'),
      {
        kind: 'vine.removed',
        occurredAt: new Date('2027-04-03T08:00:00Z'),
        body: { rowId: ids.row1, position: 42, reason: 'broken' },
      },
    ])
    // The layout of 20 April, above, has a vine at 42.
    const reading = await vine(42)
    expect(reading.lives).toHaveLength(2)
    expect(reading.now.state).toBe('standing')
  })

  it('keeps what is recorded beyond its new end, as strays', async () => {
    await office.record([graft(58, '2027-04-02')])
    await office.record([{ kind: 'row.laid_out', body: layout({ positionCount: 57 }) }])
    const reading = await row()
    expect(reading.vines).toHaveLength(57)
    expect(reading.strays.map((record) => record.position)).toEqual([58])
    expect((await vine(58)).inRow).toBe(false)
    await office.record([
      {
        kind: 'row.laid_out',
        body: layout(),
        occurredAt: new Date('2027-12-01T12:00:01Z'),
      },
    ])
  })
})

describe('a vine grafted over in a later season', () => {
  it('shows the first scion as interstock once the second grows', async () => {
    const [first] = await office.record([graft(50, '2025-04-10')])
    await office.record([check(50, '2025-06-10', [[first ?? '', 2, 0, 0]])])
    const [second] = await office.record([graft(50, '2027-04-12', { lotId: ids.redLot })])
    const before = (await vine(50)).lives[0]?.stack.layers.map((layer) => layer.role)
    expect(before).toEqual(['rootstock', 'scion', 'scion'])
    await office.record([check(50, '2027-06-10', [[second ?? '', 1, 0, 1]])])
    const layers = (await vine(50)).lives[0]?.stack.layers ?? []
    expect(layers.map((layer) => [layer.role, layer.varietyId])).toEqual([
      ['rootstock', ids.rootstock],
      ['interstock', ids.white],
      ['scion', ids.red],
    ])
  })
})

it('a withdrawn graft is on no vine', async () => {
  const [made] = await office.record([graft(55, '2027-04-02')])
  await office.record([
    { kind: 'entry.withdrawn', body: { entryId: made ?? '', reason: 'wrong row' } },
  ])
  expect((await vine(55)).lives[0]?.life.grafts).toEqual([])
})
