// A crew's paper sheet is entered for one row and one lot, whole or not at all.
import { sql } from 'kysely'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { readRowVines } from '../../api/grafting/read.ts'
import { NIL_ID } from '../../api/wire/basics.ts'
import { crewPerson, graft, ids, layout, plan, smallNursery } from '../grafting/small-nursery.ts'
import { officeApp } from '../office-app.ts'
import type { OfficeApp } from '../office-app.ts'
import { bodiesOf, expectRefused, expectSaved } from './form-answers.ts'
import { pageAt, plainText, recordedSoFar } from './form-answers.ts'

let office: OfficeApp
let person = ''
beforeAll(async () => {
  office = await officeApp(new Date('2027-04-12T12:00:00Z'))
  await smallNursery(office)
  person = await crewPerson(office, 'Bruno Vale')
  await office.record([
    plan(),
    plan({ rowId: ids.row2, toPosition: 20, varietyId: ids.red, clone: null }),
  ])
})
afterAll(() => office.drop())

const path = (rowId: string, lotId: string) => `/blocks/rows/${rowId}/graft?lot=${lotId}`
const loose = (lotId: string) => `${lotId}_${NIL_ID}_holder_${ids.crew}`

const sheet = (changes: Record<string, string> = {}) => ({
  wood: loose(ids.whiteLot),
  fromPosition: '1',
  toPosition: '60',
  countedFrom: 'head',
  skipped: '',
  method: 'chip bud',
  budsPerVine: '2',
  personId: person,
  when: '2027-04-10T15:30',
  tie: 'elastic grafting tape',
  knifeId: '',
  note: '',
  ...changes,
})

async function budsWithCrew(lotId: string): Promise<number> {
  const rows = await sql<{ buds: number }>`
    select sum(count * case unit when 'stick' then 5 else 1 end)::int as buds from balance
    where lot_id = ${lotId} and account_kind = 'holder' and account_id = ${ids.crew}
  `.execute(office.services.db)
  return rows.rows[0]?.buds ?? 0
}

describe('the lots offered for a row', () => {
  it('are those at hand of the varieties planned there, with verdict and place', async () => {
    const page = plainText(await pageAt(office, `/blocks/rows/${ids.row1}/graft`))
    expect(page).toMatch(/W-1 Alba Fina 12 EU certified .*North crew: 40 sticks/)
    expect(page).toContain('caution')
    expect(page).not.toContain('R-1')
    expect(plainText(await pageAt(office, `/blocks/rows/${ids.row2}/graft`))).toContain('R-1')
  })

  it('are found by reference as well; one that is not there is named', async () => {
    const found = await office.app.request(`/blocks/rows/${ids.row1}/graft?reference=w-2`)
    expect(found.headers.get('location')).toBe(path(ids.row1, ids.whiteLot2))
    const none = await pageAt(office, `/blocks/rows/${ids.row1}/graft?reference=zz`)
    expect(plainText(none)).toContain('There is no lot zz')
    expect((await office.app.request(path(ids.row1, NIL_ID))).status).toBe(404)
    expect((await office.app.request(path(ids.row1, 'x'))).status).toBe(404)
  })
})

describe('a sheet is refused, and nothing of it written,', () => {
  it('at position 61 of a row of 60', async () => {
    await expectRefused(office, path(ids.row1, ids.whiteLot), sheet({ toPosition: '61' }), {
      toPosition: /row 1 has 60 positions; 61 is beyond its end/,
    })
  })

  it('where the row has no vine and the sheet does not say so', async () => {
    const red = sheet({ wood: loose(ids.redLot), toPosition: '20' })
    await expectRefused(office, path(ids.row2, ids.redLot), red, {
      skipped: /no vine stood at 17: add “17 missing” here/,
    })
    // From the far end of 40 places, place 17 is number 24.
    const far = sheet({ fromPosition: '21', countedFrom: 'far', toPosition: '40' })
    await expectRefused(
      office,
      path(ids.row2, ids.redLot),
      { ...far, wood: loose(ids.redLot) },
      {
        skipped: /no vine stood at 24: add “24 missing” here/,
      },
    )
  })

  it('when it sets more buds than the crew was handed', async () => {
    // 40 sticks of 5 buds are 200; 60 vines with 4 buds take 240.
    await expectRefused(office, path(ids.row1, ids.whiteLot), sheet({ budsPerVine: '4' }), {
      wood: /60 vines × 4 are 240 buds, and North crew holds 200/,
    })
  })

  it('before the crew had the wood, or in the future', async () => {
    const early = sheet({ when: '2027-03-31T15:00' })
    await expectRefused(office, path(ids.row1, ids.whiteLot), early, {
      when: /North crew has had this wood only since 2027-04-01 06:00/,
    })
    await expectRefused(office, path(ids.row1, ids.whiteLot), sheet({ when: '2027-04-12T13:00' }), {
      when: /lies in the future/,
    })
  })

  it('when the lot is not what the row is planned for', async () => {
    const red = sheet({ wood: loose(ids.redLot), toPosition: '10' })
    await expectRefused(office, path(ids.row1, ids.redLot), red, {
      lot: /R-1 may not be set here.*planned for Alba Fina; this is Negra Sola/,
    })
  })

  it('when the stretch has vines with another plan in it', async () => {
    const whole = sheet({ wood: loose(ids.redLot), toPosition: '40', skipped: '17 missing' })
    await office.record([
      plan({ rowId: ids.row2, fromPosition: 21, toPosition: 40, varietyId: ids.white }),
    ])
    await expectRefused(office, path(ids.row2, ids.redLot), whole, { lot: /planned for Alba Fina/ })
  })

  it('while the lot is on hold', async () => {
    const holdId = ids.redSource
    await office.record([
      {
        kind: 'hold.placed',
        body: { holdId, on: { kind: 'lot', id: ids.whiteLot2 }, agent: null, reason: 'doubt' },
      },
    ])
    const held = sheet({ wood: loose(ids.whiteLot2) })
    await expectRefused(office, path(ids.row1, ids.whiteLot2), held, { lot: /on hold/ })
    await office.record([
      { kind: 'hold.lifted', body: { holdId, reason: 'cleared', secondPersonId: null } },
    ])
  })

  it('when a field is empty, unknown or cannot be read, each named at once', async () => {
    const bad = sheet({
      wood: '',
      fromPosition: '',
      method: '',
      budsPerVine: '',
      personId: '',
    })
    await expectRefused(office, path(ids.row1, ids.whiteLot), bad, {
      wood: /choose who or what held the wood/,
      fromPosition: /needed/,
      method: /needed/,
      budsPerVine: /needed/,
      personId: /choose the person/,
    })
    const { wood, personId, knifeId, ...kept } = sheet()
    const strange = { wood: 'x', personId: NIL_ID, knifeId: NIL_ID }
    expect([wood, personId, knifeId]).not.toContain('x')
    const response = await office.post(path(ids.row1, ids.whiteLot), { ...kept, ...strange })
    const page = plainText(await response.text())
    expect(response.status).toBe(422)
    expect(page).toContain('this wood is no longer where it was')
    expect(page).toContain('choose a person from the list')
    expect(page).toContain('choose a knife from the list, or none')
  })

  it('when the list of vines passed over cannot be right', async () => {
    const lists: [string, RegExp][] = [
      ['seven too thin', /does not begin with a position/],
      ['4', /says no more than the position/],
      ['4 thin; 4 missing', /position 4 is listed twice/],
      ['70 too thin', /70 lies outside 1 to 60/],
      ['1 to 60 dead', /every vine of the stretch is skipped/],
      ['8 to 5 thin', /runs backwards/],
    ]
    for (const [skipped, message] of lists) {
      await expectRefused(office, path(ids.row1, ids.whiteLot), sheet({ skipped }), {
        skipped: message,
      })
    }
  })

  it('when its method hides a character', async () => {
    const hidden = sheet({ method: 'chip\u200Bbud' })
    await expectRefused(office, path(ids.row1, ids.whiteLot), hidden, { method: /U\+200B/ })
  })
})

describe('a sheet of 60 vines with three passed over', () => {
  it('is 57 grafts and 3 skips in one batch, by the person who did it, off the books', async () => {
    const before = await recordedSoFar(office)
    const location = await expectSaved(
      office,
      path(ids.row1, ids.whiteLot),
      sheet({ skipped: '4 too thin; 17, 33 missing' }),
    )
    expect(location).toBe(`/blocks/rows/${ids.row1}?saved=60`)
    expect((await recordedSoFar(office)).entries).toBe(before.entries + 60)
    const reading = await readRowVines(office.services.db, ids.row1, 2027)
    expect(reading?.counts).toMatchObject({ grafted: 57, skipped: 3, planned: 0 })
    expect(reading?.facts.grafts.every((made) => made.person_id === person)).toBe(true)
    expect(reading?.facts.grafts[0]?.grafted_at.toISOString()).toBe('2027-04-10T15:30:00.000Z')
    expect(reading?.vines[3]).toMatchObject({ state: 'skipped', reason: 'too thin' })
    // 200 buds handed out, 57 × 2 set.
    expect(await budsWithCrew(ids.whiteLot)).toBe(86)
    const page = plainText(await pageAt(office, `/blocks/rows/${ids.row1}`))
    expect(page).toContain('57 grafted, not yet checked; 3 skipped')
  })

  it('entered a second time is refused until somebody says they are further buds', async () => {
    const again = sheet({ toPosition: '10', skipped: '4 too thin', budsPerVine: '1' })
    await expectRefused(office, path(ids.row1, ids.whiteLot), again, {
      further: /1 to 3, 5 to 10 were grafted this season already.*not entered twice/,
    })
  })
})

describe('a further lot on the same vines', () => {
  it('goes beside the first when it is said to, each bud with its own lot', async () => {
    const second = sheet({
      wood: loose(ids.whiteLot2),
      toPosition: '3',
      budsPerVine: '1',
      when: '2027-04-11T10:00',
      further: 'yes',
    })
    await expectSaved(office, path(ids.row1, ids.whiteLot2), second)
    const reading = await readRowVines(office.services.db, ids.row1)
    const lots = reading?.records[0]?.lives[0]?.grafts.map((made) => made.reference)
    expect(lots).toEqual(['W-1', 'W-2'])
  })
})

describe('the order of the work', () => {
  it('follows from first vine to last, counted from the end that the sheet says', async () => {
    const made = await bodiesOf(office, 'graft.made')
    const far = sheet({
      wood: loose(ids.redLot),
      fromPosition: '40',
      toPosition: '37',
      countedFrom: 'far',
      skipped: '39 no sap',
    })
    await expectSaved(office, path(ids.row2, ids.redLot), far)
    const now = (await bodiesOf(office, 'graft.made')).slice(made.length)
    const positions = now.map((body) => (body.vine as { position: number }).position)
    // Number 40 from the far end of 40 places is the head; the crew walked away from it.
    expect(positions).toEqual([1, 3, 4])
    const skips = await bodiesOf(office, 'vine.skipped')
    expect(skips.at(-1)).toMatchObject({ vine: { position: 2 }, reason: 'no sap' })
  })
})

describe('wood in several bundles', () => {
  it('can be taken from one, or from the whole account when nobody wrote down which', async () => {
    await office.record([
      {
        kind: 'wood.handed_over',
        occurredAt: new Date('2027-04-02T06:00:00Z'),
        body: {
          wood: { lotId: ids.whiteLot, bundleId: ids.whiteBundle, unit: 'stick', count: 20 },
          from: { kind: 'place', id: ids.room },
          toHolderId: ids.crew,
          note: '',
        },
      },
      { kind: 'row.laid_out', body: layout({ rowId: ids.source, label: '3', sequence: 3 }) },
    ])
    const page = await pageAt(office, path(ids.source, ids.whiteLot))
    // 86 loose buds and a bundle of 20 sticks of 5.
    expect(plainText(page)).toContain('all of it, bundle not written down (186 buds)')
    const bundle = `${ids.whiteLot}_${ids.whiteBundle}_holder_${ids.crew}`
    await expectRefused(office, path(ids.source, ids.whiteLot), sheet({ wood: bundle }), {
      wood: /120 buds, and North crew holds 100/,
    })
    const all = `${ids.whiteLot}_${NIL_ID}_holder_${ids.crew}_all`
    await expectSaved(office, path(ids.source, ids.whiteLot), sheet({ wood: all }))
    expect(await budsWithCrew(ids.whiteLot)).toBe(66)
  })
})

describe('a single vine', () => {
  it('is a sheet of one, begun from the vine’s own page', async () => {
    const vine = await pageAt(office, `/blocks/vines/${ids.row2}/9`)
    expect(vine).toContain(`/blocks/rows/${ids.row2}/graft?position=9`)
    const page = await pageAt(office, `${path(ids.row2, ids.redLot)}&position=9`)
    expect(page).toMatch(/value="9"[^>]*name="fromPosition"/)
    const one = sheet({ wood: loose(ids.redLot), fromPosition: '9', toPosition: '9' })
    await expectSaved(office, path(ids.row2, ids.redLot), one)
    const reading = await readRowVines(office.services.db, ids.row2)
    expect(reading?.vines[8]?.state).toBe('grafted')
  })

  it('whose graft failed can be grafted again without being asked', async () => {
    const [made] = await office.record([
      graft(10, '2027-04-03', { rowId: ids.row2, lotId: ids.redLot, budCount: 1 }),
    ])
    await office.record([
      {
        kind: 'take.checked',
        occurredAt: new Date('2027-04-09T08:00:00Z'),
        body: {
          vine: { rowId: ids.row2, position: 10 },
          results: [{ graftId: made ?? null, growing: 0, callused: 0, failed: 1 }],
          shootLengthMm: null,
          note: '',
        },
      },
    ])
    const again = sheet({ wood: loose(ids.redLot), fromPosition: '10', toPosition: '10' })
    await expectSaved(office, path(ids.row2, ids.redLot), again)
  })
})
