// What the desk refuses about places and baths, and how places are put in order.
import { describe, expect, it } from 'vitest'
import type { Bath } from '../../api/store/baths.ts'
import { bathProblems, fillProblems, newPlaceProblems } from '../../api/store/checks.ts'
import { placeProblems } from '../../api/store/checks.ts'
import { withInside } from '../../api/store/place-stock.ts'
import { inTreeOrder, isCooled, placesWithin } from '../../api/store/places.ts'
import type { Place } from '../../api/store/places.ts'

const place = (name: string, changes: Partial<Place> = {}): Place => ({
  placeId: name,
  name,
  placeKind: 'room',
  insidePlaceId: null,
  cooled: false,
  note: '',
  ...changes,
})

const tree = inTreeOrder([
  place('Bin 10', { placeKind: 'bin', insidePlaceId: 'Rack' }),
  place('Bin 9', { placeKind: 'bin', insidePlaceId: 'Rack' }),
  place('Shed'),
  place('Rack', { placeKind: 'rack', insidePlaceId: 'Room' }),
  place('Room', { cooled: true }),
  place('Tank', { placeKind: 'tank', insidePlaceId: 'Shed' }),
])

describe('places', () => {
  it('are listed as a tree, numbers in their order', () => {
    expect(tree.map(({ path, depth }) => `${depth} ${path}`)).toEqual([
      '0 Room',
      '1 Room › Rack',
      '2 Room › Rack › Bin 9',
      '2 Room › Rack › Bin 10',
      '0 Shed',
      '1 Shed › Tank',
    ])
  })

  it('none is lost when entries put them inside each other or inside nothing known', () => {
    const circle = inTreeOrder([
      place('A', { insidePlaceId: 'B' }),
      place('B', { insidePlaceId: 'A' }),
      place('C', { insidePlaceId: 'nowhere' }),
    ])
    expect(circle.map(({ placeId }) => placeId).sort()).toEqual(['A', 'B', 'C'])
    expect(isCooled(circle, 'A')).toBe(false)
  })

  it('are cooled by what is around them', () => {
    expect(isCooled(tree, 'Bin 9')).toBe(true)
    expect(isCooled(tree, 'Tank')).toBe(false)
  })

  it('hold what is inside them, each lot counted once', () => {
    const rows = [
      { account_id: 'Bin 9', lot_ids: ['one', 'two'], sticks: 30, buds: 4 },
      { account_id: 'Bin 10', lot_ids: ['two'], sticks: 5, buds: 0 },
      { account_id: 'Room', lot_ids: ['one'], sticks: 1, buds: 0 },
    ]
    const stock = withInside(tree, rows)
    expect(stock.get('Rack')).toEqual({ lots: 2, sticks: 35, buds: 4 })
    expect(stock.get('Room')).toEqual({ lots: 2, sticks: 36, buds: 4 })
    expect(stock.get('Shed')).toEqual({ lots: 0, sticks: 0, buds: 0 })
    expect([...placesWithin(tree, 'Rack')].sort()).toEqual(['Bin 10', 'Bin 9', 'Rack'])
  })

  it('take wood to lie unless they are tanks or unknown', () => {
    expect(placeProblems(tree, 'Bin 9', 'to')).toEqual([])
    expect(placeProblems(tree, 'Tank', 'to')).toMatchObject([{ field: 'to' }])
    expect(placeProblems(tree, 'Loft', 'to')).toMatchObject([{ field: 'to' }])
  })

  it('may share a name only in different places', () => {
    const named = (name: string, insidePlaceId: string | null) =>
      newPlaceProblems(tree, { name, placeKind: 'bin', insidePlaceId }).map(({ field }) => field)
    expect(named('bin  9', 'Rack')).toEqual(['name'])
    expect(named('ＢＩＮ 9', 'Rack')).toEqual(['name'])
    expect(named('Bin 9', 'Shed')).toEqual([])
    expect(named('Bin 1', 'Tank')).toEqual(['insidePlaceId'])
    expect(named('Bin 1', 'Loft')).toEqual(['insidePlaceId'])
  })
})

describe('baths', () => {
  const bath: Bath = {
    bathId: 'bath',
    tankId: 'Tank',
    tankName: 'Tank',
    water: 'well',
    waterTempC: null,
    disinfectant: null,
    litres: null,
    filledAt: new Date('2027-02-01T08:00:30Z'),
    emptiedAt: null,
  }
  const fields = { bath: 'bath', when: 'when' }
  const at = (text: string) => new Date(`2027-02-01T${text}Z`)

  it('are filled in tanks that stand empty', () => {
    expect(fillProblems(tree, [], 'Tank')).toEqual([])
    expect(fillProblems(tree, [bath], 'Tank')[0]?.message).toContain('filled already')
    expect(fillProblems(tree, [], 'Shed')[0]?.message).toContain('not a tank')
    expect(fillProblems(tree, [], 'Loft')[0]?.message).toContain('not registered')
  })

  it('take wood from the minute they were filled until they are emptied', () => {
    expect(bathProblems(bath, at('08:00:00'), 'UTC', fields)).toEqual([])
    expect(bathProblems(bath, at('07:59:59'), 'UTC', fields)).toMatchObject([{ field: 'when' }])
    const over = { ...bath, emptiedAt: at('09:00:00') }
    expect(bathProblems(over, at('08:30:00'), 'UTC', fields)).toMatchObject([{ field: 'bath' }])
    expect(bathProblems(null, at('08:30:00'), 'UTC', fields)).toMatchObject([{ field: 'bath' }])
  })
})
