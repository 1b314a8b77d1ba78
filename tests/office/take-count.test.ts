// Take is counted for a row on one page: line by line, or as a stretch that grows but for some.
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { readRowVines, takeOfRows } from '../../api/grafting/read.ts'
import { crewPerson, graft, ids, smallNursery } from '../grafting/small-nursery.ts'
import { officeApp } from '../office-app.ts'
import type { OfficeApp } from '../office-app.ts'
import { bodiesOf, expectRefused, expectSaved, lastBody } from './form-answers.ts'
import { pageAt, plainText } from './form-answers.ts'

let office: OfficeApp
let person = ''
let made: string[] = []
beforeAll(async () => {
  office = await officeApp(new Date('2027-06-15T12:00:00Z'))
  await smallNursery(office)
  person = await crewPerson(office, 'Bruno Vale')
  made = await office.record([
    ...[1, 2, 3, 4, 5, 6, 7, 8].map((position) => graft(position, '2027-04-10')),
    // Vine 9 has buds of two lots.
    graft(9, '2027-04-10', { budCount: 1 }),
    graft(9, '2027-04-10', { budCount: 1, lotId: ids.redLot }),
  ])
})
afterAll(() => office.drop())

const path = `/blocks/rows/${ids.row1}/take`
const id = (nr: number) => made[nr] ?? ''
const fields = (changes: Record<string, string> = {}) => ({
  personId: person,
  when: '2027-05-20T09:00',
  growFrom: '',
  growTo: '',
  growBuds: 'all',
  except: '',
  note: '',
  ...changes,
})

const lastChecks = async (count: number) => (await bodiesOf(office, 'take.checked')).slice(-count)

describe('the page', () => {
  it('has one line for each graft, with a named input for each number', async () => {
    const page = await pageAt(office, path)
    expect(page.match(/name="growing-/g)).toHaveLength(10)
    expect(page).toContain('aria-label="vine 9, R-1: buds callused"')
    expect(plainText(page)).toContain('A line left empty was not looked at')
  })

  it('of a row where nothing was grafted says so', async () => {
    const page = await pageAt(office, `/blocks/rows/${ids.row2}/take`)
    expect(plainText(page)).toContain('Nothing was grafted here')
    expect((await office.post(`/blocks/rows/${ids.row2}/take`, fields())).status).toBe(422)
  })
})

describe('counted line by line', () => {
  it('records one look at each vine filled in, and nothing for the others', async () => {
    const location = await expectSaved(
      office,
      path,
      fields({
        [`growing-${id(0)}`]: '2',
        [`growing-${id(1)}`]: '1',
        [`failed-${id(1)}`]: '1',
        [`callused-${id(8)}`]: '1',
        [`failed-${id(9)}`]: '1',
        note: 'first look',
      }),
    )
    expect(location).toBe(`/blocks/rows/${ids.row1}?saved=3`)
    expect(await lastChecks(3)).toEqual([
      {
        vine: { rowId: ids.row1, position: 1 },
        results: [{ graftId: id(0), growing: 2, callused: 0, failed: 0 }],
        shootLengthMm: null,
        note: 'first look',
      },
      {
        vine: { rowId: ids.row1, position: 2 },
        results: [{ graftId: id(1), growing: 1, callused: 0, failed: 1 }],
        shootLengthMm: null,
        note: 'first look',
      },
      {
        vine: { rowId: ids.row1, position: 9 },
        results: [
          { graftId: id(8), growing: 0, callused: 1, failed: 0 },
          { graftId: id(9), growing: 0, callused: 0, failed: 1 },
        ],
        shootLengthMm: null,
        note: 'first look',
      },
    ])
    const page = plainText(await pageAt(office, path))
    expect(page).toContain('2027-05-20: 1 growing, 0 callused, 1 failed')
  })

  it('is refused at the line that is wrong, and then records none of the lines', async () => {
    await expectRefused(
      office,
      path,
      fields({
        [`growing-${id(0)}`]: '3',
        [`callused-${id(1)}`]: 'one',
        [`failed-${id(2)}`]: '0',
        [`growing-${id(3)}`]: '2',
      }),
      {
        [`growing-${id(0)}`]: /vine 1: 3 buds counted, but 2 were set/,
        [`callused-${id(1)}`]: /vine 2: write a number of buds, not one/,
        [`growing-${id(2)}`]: /vine 3: 0 of everything says nothing/,
      },
    )
  })

  it('is refused without a person, without any count, or before the graft', async () => {
    await expectRefused(office, path, fields({ personId: '' }), {
      personId: /choose the person/,
      growFrom: /nothing was counted/,
    })
    const early = fields({ when: '2027-04-09T09:00', [`growing-${id(0)}`]: '2' })
    await expectRefused(office, path, early, { when: /vine 1 was grafted only after this time/ })
  })
})

describe('counted as a stretch', () => {
  it('counts every bud as growing but for the vines named', async () => {
    const quick = { growFrom: '1', growTo: '8', except: '4 failed; 5 callused; 6, 7 not seen' }
    await expectSaved(office, path, fields(quick))
    const checks = await lastChecks(6)
    const told = checks.map((body) => {
      const { position } = body.vine as { position: number }
      const [result] = body.results as Record<string, number>[]
      return [position, result?.growing, result?.callused, result?.failed]
    })
    expect(told).toEqual([
      [1, 2, 0, 0],
      [2, 2, 0, 0],
      [3, 2, 0, 0],
      [4, 0, 0, 2],
      [5, 0, 2, 0],
      [8, 2, 0, 0],
    ])
    const reading = await readRowVines(office.services.db, ids.row1, 2027)
    if (reading === null) throw new Error('the row is not there')
    const take = await takeOfRows(office.services.db, [reading], 2027)
    // By hand: grow 1, 2, 3, 8; callused 5 and 9; failed 4; not looked at 6 and 7.
    expect(take.vines).toMatchObject({ growing: 4, callused: 2, failed: 1, notChecked: 2 })
    expect(take.vines.share).toBe(4 / 7)
    expect(plainText(await pageAt(office, `/blocks/rows/${ids.row1}`))).toContain(
      '4 of 7 vines looked at grow: 57.1 %',
    )
  })

  it('with one bud each leaves the rest uncounted, and tells no lot apart on vine 9', async () => {
    await expectSaved(office, path, fields({ growFrom: '8', growTo: '9', growBuds: 'one' }))
    const [eight, nine] = await lastChecks(2)
    expect(eight?.results).toEqual([{ graftId: id(7), growing: 1, callused: 0, failed: 0 }])
    expect(nine?.results).toEqual([{ graftId: null, growing: 1, callused: 0, failed: 0 }])
  })

  it('and by lines together counts each vine once', async () => {
    const both = fields({ growFrom: '1', growTo: '3', [`growing-${id(1)}`]: '2' })
    await expectRefused(office, path, both, {
      [`growing-${id(1)}`]: /vine 2 is counted in the stretch above as well/,
    })
    const apart = { ...both, except: '2 not seen' }
    await expectSaved(office, path, apart)
    expect(
      (await lastChecks(3)).map((body) => (body.vine as { position: number }).position),
    ).toEqual([1, 2, 3])
  })

  it('is refused where the list of exceptions cannot be right', async () => {
    const lists: [string, RegExp][] = [
      ['4 weak', /“weak” is none of growing, callused, failed, not seen/],
      ['20 failed', /20 is no grafted vine from 1 to 8/],
      ['9 failed', /9 is no grafted vine from 1 to 8/],
      ['failed 4', /does not begin with a position/],
    ]
    for (const [except, message] of lists) {
      await expectRefused(office, path, fields({ growFrom: '1', growTo: '8', except }), {
        except: message,
      })
    }
    await expectRefused(office, path, fields({ growFrom: '30', growTo: '40' }), {
      growFrom: /no vine from 30 to 40 was grafted/,
    })
    await expectRefused(office, path, fields({ growFrom: '1' }), { growTo: /needed/ })
  })
})

describe('a single vine', () => {
  const vine = `/blocks/vines/${ids.row1}/3/take`

  it('is counted on its own page, with the length of its shoot', async () => {
    const { growFrom, growTo, growBuds, except, ...one } = fields()
    expect([growFrom, growTo, growBuds, except]).toEqual(['', '', 'all', ''])
    const counted = { ...one, shootLengthMm: '140', [`growing-${id(2)}`]: '2' }
    expect(await expectSaved(office, vine, counted)).toBe(`/blocks/vines/${ids.row1}/3?saved=1`)
    expect(await lastBody(office, 'take.checked')).toMatchObject({ shootLengthMm: 140 })
    expect(plainText(await pageAt(office, `/blocks/vines/${ids.row1}/3`))).toContain('140 mm')
    await expectRefused(
      office,
      vine,
      { ...one, shootLengthMm: '14 cm' },
      {
        shootLengthMm: /a number in digits/,
        [`growing-${id(2)}`]: /nothing was counted/,
      },
    )
  })
})
