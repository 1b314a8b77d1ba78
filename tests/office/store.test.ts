// The cold store: what lies where, registering places, moving wood of several lots at once.
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { newId } from '../../api/platform/clock.ts'
import { positionKey } from '../../api/store/positions.ts'
import { htmlProblems } from '../browser/html-problems.ts'
import { officeApp } from '../office-app.ts'
import type { OfficeApp } from '../office-app.ts'
import { bodiesOf, expectRefused, expectSaved, lastBody, pageAt } from './form-answers.ts'
import { plainText } from './form-answers.ts'
import { at, recordLot, recordScene, sceneNow } from './wood-scene.ts'
import type { Scene } from './wood-scene.ts'

let office: OfficeApp
let scene: Scene
let one: { lotId: string; bundleIds: string[] }
let two: { lotId: string; bundleIds: string[] }
beforeAll(async () => {
  office = await officeApp(sceneNow)
  scene = await recordScene(office)
  one = await recordLot(office, scene, '27-001')
  two = await recordLot(office, scene, '27-002', {
    bundles: [],
    sticks: 50,
    to: { kind: 'place', id: scene.bin },
  })
})
afterAll(() => office.drop())

const rowOf = (page: string, name: string) =>
  plainText(page.split('<tr>').find((row) => row.includes(`>${name}</a>`)) ?? `no row ${name}`)

describe('the overview', () => {
  it('shows each place with all that lies inside it, and which places are empty', async () => {
    const page = await pageAt(office, '/store')
    expect(htmlProblems(page)).toEqual([])
    // The room holds 240 sticks itself and 50 on the bin inside its rack.
    expect(rowOf(page, 'Cold room')).toMatch(/room yes 2 290 0/)
    expect(rowOf(page, 'Rack A')).toMatch(/rack yes 1 50 0/)
    expect(rowOf(page, 'Bin 3')).toMatch(/bin yes 1 50 0/)
    expect(rowOf(page, 'Grafting shed')).toMatch(/bench no empty/)
  })

  it('shows how long each portion has lain there, and the verdict', async () => {
    const page = plainText(await pageAt(office, '/store'))
    // Cut on 20 January, now 10 February.
    expect(page).toMatch(/27-002 loose Alba Fina 12 Cold room › Rack A › Bin 3 50 sticks 21/)
    expect(page).toMatch(/27-001 1 Alba Fina 12 Cold room 100 sticks 21 2027-01-20 caution/)
  })

  it('narrows to one place with what is inside it', async () => {
    const page = plainText(await pageAt(office, `/store?place=${scene.rack}`))
    expect(page).toContain('Cold room › Rack A')
    expect(page).toContain('27-002')
    expect(page).not.toContain('27-001')
  })

  it('says how much is elsewhere: in water, in hands, and where nobody knows', async () => {
    const bathId = newId()
    const wood = { lotId: one.lotId, bundleId: null, unit: 'stick' as const }
    const from = { kind: 'place' as const, id: scene.room }
    const body = {
      bathId,
      placeId: scene.tank,
      water: 'well',
      waterTempC: null,
      disinfectant: null,
      litres: null,
    }
    await office.record([
      { kind: 'bath.filled', occurredAt: at('2027-02-09T08:00'), body },
      { kind: 'soak.began', body: { wood: { ...wood, count: 7 }, from, bathId } },
      {
        kind: 'wood.handed_over',
        body: { wood: { ...wood, count: 5 }, from, toHolderId: scene.crew, note: '' },
      },
    ])
    await recordLot(office, scene, '27-003', {
      bundles: [],
      sticks: 9,
      to: { kind: 'unknown', id: '00000000-0000-0000-0000-000000000000' },
    })
    const page = await pageAt(office, '/store')
    expect(rowOf(page, 'In water')).toMatch(/1 7 0/)
    expect(rowOf(page, 'With crews and people')).toMatch(/1 5 0/)
    expect(rowOf(page, 'Place not recorded')).toMatch(/1 9 0/)
    expect(plainText(await pageAt(office, '/store?place=unknown'))).toMatch(/27-003.*9 sticks/)
  })
})

describe('moving wood of several lots', () => {
  it('moves all that was ticked to one place, all or none', async () => {
    const wood = [
      positionKey(one.lotId, one.bundleIds[0] ?? '', { kind: 'place', id: scene.room }),
      positionKey(two.lotId, null, { kind: 'place', id: scene.bin }),
    ]
    expect(htmlProblems(await pageAt(office, '/store/move'))).toEqual([])
    const before = (await bodiesOf(office, 'stay.began')).length
    const bad = { wood, placeId: scene.bin }
    await expectRefused(office, '/store/move', bad, { placeId: /already there: 27-002/ })
    expect(await bodiesOf(office, 'stay.began')).toHaveLength(before)
    expect(await expectSaved(office, '/store/move', { wood, placeId: scene.shed })).toBe(
      '/store?saved=2',
    )
    expect(await bodiesOf(office, 'stay.began')).toHaveLength(before + 2)
    const page = await pageAt(office, '/store')
    expect(rowOf(page, 'Grafting shed')).toMatch(/bench no 2 150 0/)
    expect(rowOf(page, 'Bin 3')).toMatch(/empty/)
  })

  it('keeps the search while a refused form is mended', async () => {
    const fields = { find: '27-00', placeId: scene.shed }
    const page = await expectRefused(office, '/store/move', fields, { wood: /choose some wood/ })
    expect(page).toMatch(/type="hidden" name="find" value="27-00"/)
  })
})

describe('registering a place', () => {
  it('shows the new place inside the one around it', async () => {
    expect(htmlProblems(await pageAt(office, '/store/register'))).toEqual([])
    const fields = {
      name: 'Bin 4',
      placeKind: 'bin',
      insidePlaceId: scene.rack,
      cooled: [],
      note: 'by the door',
    }
    expect(await expectSaved(office, '/store/register', fields)).toBe('/store?saved=1')
    expect(await lastBody(office, 'place.registered')).toMatchObject({
      name: 'Bin 4',
      insidePlaceId: scene.rack,
      cooled: false,
    })
    expect(rowOf(await pageAt(office, '/store'), 'Bin 4')).toMatch(/bin yes empty/)
  })

  it('refuses a name that is there already, whatever its capitals, and says where', async () => {
    const fields = { name: 'bin 3', placeKind: 'bin', insidePlaceId: scene.rack }
    await expectRefused(office, '/store/register', fields, {
      name: /already a bin called Cold room › Rack A › Bin 3/,
    })
    const elsewhere = { name: 'Bin 3', placeKind: 'bin', insidePlaceId: scene.room }
    await expectSaved(office, '/store/register', elsewhere)
  })

  it('refuses a place inside a tank or nothing known, no kind, and hidden marks', async () => {
    const fields = { name: 'Bin\u200B 5', placeKind: 'cupboard', insidePlaceId: scene.tank }
    await expectRefused(
      office,
      '/store/register',
      fields,
      {
        name: /U\+200B/,
        placeKind: /what kind/,
        insidePlaceId: /is a tank/,
      },
      ['placeKind', 'insidePlaceId'],
    )
    const lost = { name: 'Bin 6', placeKind: 'bin', insidePlaceId: newId() }
    await expectRefused(office, '/store/register', lost, { insidePlaceId: /not registered/ }, [
      'insidePlaceId',
    ])
  })
})
