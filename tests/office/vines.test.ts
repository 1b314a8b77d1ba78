// What happens to single vines and grafts is recorded at the desk, and the vine's page tells it.
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { readVine } from '../../api/grafting/read.ts'
import { NIL_ID } from '../../api/wire/basics.ts'
import { check, crewPerson, graft, ids, smallNursery } from '../grafting/small-nursery.ts'
import { officeApp } from '../office-app.ts'
import type { OfficeApp } from '../office-app.ts'
import { expectRefused, expectSaved, lastBody } from './form-answers.ts'
import { pageAt, plainText } from './form-answers.ts'

let office: OfficeApp
let person = ''
beforeAll(async () => {
  office = await officeApp(new Date('2027-06-15T12:00:00Z'))
  await smallNursery(office)
  person = await crewPerson(office, 'Bruno Vale')
})
afterAll(() => office.drop())

const at = (position: number, what = '') =>
  `/blocks/vines/${ids.row1}/${position}${what === '' ? '' : `/${what}`}`
const done = (changes: Record<string, string> = {}) => ({
  personId: person,
  when: '2027-05-02T10:00',
  ...changes,
})

describe('a vine', () => {
  it('is skipped, with the reason and the person', async () => {
    await expectSaved(office, at(2, 'skipped'), done({ reason: 'too thin' }))
    expect(await lastBody(office, 'vine.skipped')).toEqual({
      vine: { rowId: ids.row1, position: 2 },
      reason: 'too thin',
    })
    const page = plainText(await pageAt(office, at(2)))
    expect(page).toContain('skipped , 2027-05-02: too thin')
    expect(page).toContain('Bruno Vale')
  })

  it('is removed once, and its place then has none', async () => {
    await expectSaved(office, at(3, 'removed'), done({ reason: 'trunk disease' }))
    const page = await pageAt(office, at(3))
    expect(plainText(page)).toContain('removed')
    expect(page).not.toContain(at(3, 'removed'))
    await expectRefused(office, at(3, 'removed'), done({ reason: 'again' }), {
      when: /no vine stands here/,
    })
    await expectRefused(office, at(3, 'skipped'), done({ reason: 'again' }), {
      when: /no vine stands here/,
    })
  })

  it('is refused without a reason or a person', async () => {
    for (const what of ['skipped', 'removed']) {
      await expectRefused(
        office,
        at(4, what),
        { personId: '', when: '', reason: '' },
        {
          personId: /choose the person/,
          reason: /say why/,
        },
      )
    }
  })

  it('planted anew begins a life of its own with its own trunk', async () => {
    await office.record([graft(5, '2027-04-02')])
    const planted = done({
      rootstock: ids.rootstock,
      rootstockClone: '7',
      rootstockOrigin: '',
      interstock: '',
      plantedYear: '2027',
      note: 'from the reserve',
    })
    await expectSaved(office, at(5, 'planted'), planted)
    expect(await lastBody(office, 'vine.planted')).toMatchObject({
      position: 5,
      plantedYear: 2027,
      layers: [{ role: 'rootstock', clone: '7', origin: { kind: 'unknown' } }],
    })
    const page = plainText(await pageAt(office, at(5)))
    expect(page).toContain('The vine since 2027-05-02')
    expect(page).toContain('An earlier vine, until 2027-05-02, replaced')
    const vine = await readVine(office.services.db, ids.row1, 5)
    expect(vine?.lives.map(({ life }) => life.grafts.length)).toEqual([1, 0])
  })

  it('planted is refused before a later one, with a bad trunk, or beyond the row', async () => {
    const bad = done({ when: '2027-05-01T10:00', rootstock: '', rootstockClone: '9' })
    await expectRefused(office, at(5, 'planted'), bad, {
      when: /planted at 5 after this time/,
      rootstock: /choose the variety/,
    })
    await office.record([graft(61, '2027-04-02')])
    await expectRefused(office, at(61, 'planted'), done(), { when: /only 60 positions/ })
    expect(plainText(await pageAt(office, at(61)))).toContain('Row 1 has only 60 positions')
  })
})

describe('a graft', () => {
  it('is removed once, not before it was made, and only if there is one', async () => {
    const [made] = await office.record([graft(10, '2027-04-02')])
    const path = `/blocks/grafts/${made ?? ''}/removed`
    await expectRefused(office, path, done({ when: '2027-04-01T10:00', reason: 'broken' }), {
      when: /made only after this time/,
    })
    await expectSaved(office, path, done({ reason: 'broken off' }))
    expect(await lastBody(office, 'graft.removed')).toEqual({ graftId: made, reason: 'broken off' })
    expect(plainText(await pageAt(office, at(10)))).toContain('removed 2027-05-02: broken off')
    await expectRefused(office, path, done({ reason: 'again' }), { reason: /removed already/ })
    expect((await office.app.request(`/blocks/grafts/${NIL_ID}/removed`)).status).toBe(404)
  })
})

describe('the page of a vine', () => {
  it('shows two lots side by side on one trunk', async () => {
    const [white, red] = await office.record([
      graft(20, '2027-04-02', { budCount: 1 }),
      graft(20, '2027-04-02', { budCount: 1, lotId: ids.redLot }),
    ])
    await office.record([
      check(20, '2027-05-20', [
        [white ?? null, 1, 0, 0],
        [red ?? null, 1, 0, 0],
      ]),
    ])
    const page = await pageAt(office, at(20))
    expect(page.match(/class="layer scion"/g)).toHaveLength(2)
    expect(page.match(/class="layer rootstock"/g)).toHaveLength(1)
    expect(page).toContain(`href="/trace/back/vine/${ids.row1}/20"`)
  })

  it('shows the first season’s scion as interstock under the second’s, roots lowest', async () => {
    const [first] = await office.record([graft(50, '2026-04-10')])
    await office.record([check(50, '2026-06-10', [[first ?? null, 2, 0, 0]])])
    const [second] = await office.record([graft(50, '2027-04-12', { lotId: ids.redLot })])
    expect(await pageAt(office, at(50))).toContain('not yet seen growing')
    await office.record([check(50, '2027-06-10', [[second ?? null, 1, 0, 1]])])
    const page = plainText(await pageAt(office, at(50)))
    expect(page).toMatch(
      /scion Negra Sola lot R-1 interstock Alba Fina, clone 12 lot W-1 rootstock Duro 12 origin/,
    )
    expect(page).toContain('roots, planted 2018')
  })
})
