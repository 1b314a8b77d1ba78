// Soak: filling, putting in, taking out and emptying, with the hours and whose hours they are.
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { newId } from '../../api/platform/clock.ts'
import { positionKey } from '../../api/store/positions.ts'
import { htmlProblems } from '../browser/html-problems.ts'
import { officeApp } from '../office-app.ts'
import type { OfficeApp } from '../office-app.ts'
import { expectRefused, expectSaved, lastBody, pageAt, plainText } from './form-answers.ts'
import { recordLot, recordScene, sceneNow } from './wood-scene.ts'
import type { Scene } from './wood-scene.ts'

let office: OfficeApp
let scene: Scene
beforeAll(async () => {
  office = await officeApp(sceneNow)
  scene = await recordScene(office)
})
afterAll(() => office.drop())

const inRoom = (lotId: string, bundleId: string | null = null) =>
  positionKey(lotId, bundleId, { kind: 'place', id: scene.room })
const inBath = (lotId: string, bathId: string) =>
  positionKey(lotId, null, { kind: 'bath', id: bathId })

const filling = () => ({
  placeId: scene.tank,
  water: 'the well',
  waterTempC: '11,5',
  disinfectant: '',
  litres: '400',
  when: '2027-02-08T08:00',
})

const bathIdIn = (address: string) => address.slice('/soak/'.length, '/soak/'.length + 36)

describe('a bath', () => {
  let bathId = ''

  it('is filled once, with its water and its caution about disinfectants', async () => {
    const page = await pageAt(office, '/soak/fill')
    expect(htmlProblems(page)).toEqual([])
    expect(plainText(page)).toContain('Disinfectants can hurt people and buds')
    expect(plainText(page)).toContain('local rules')
    const address = await expectSaved(office, '/soak/fill', filling())
    bathId = bathIdIn(address)
    expect(await lastBody(office, 'bath.filled')).toMatchObject({
      placeId: scene.tank,
      water: 'the well',
      waterTempC: 11.5,
      disinfectant: null,
      litres: 400,
    })
    const bath = plainText(await pageAt(office, address))
    expect(bath).toContain('water from the well, 11.5 °C, 400 litres, no disinfectant')
    expect(bath).toContain('2027-02-08 08:00')
  })

  it('is not filled in a tank that stands filled, nor in a room, nor in the future', async () => {
    const again = { ...filling(), water: '' }
    await expectRefused(office, '/soak/fill', again, {
      placeId: /Tank 1 is filled already: empty its bath first/,
      water: /is needed/,
    })
    const room = { ...filling(), placeId: scene.room, when: '2027-02-12T08:00', litres: '1.5' }
    await expectRefused(
      office,
      '/soak/fill',
      room,
      {
        placeId: /Cold room is a room, not a tank/,
        when: /in the future/,
        litres: /whole number/,
      },
      ['placeId'],
    )
    const lost = { ...filling(), placeId: newId(), waterTempC: '80' }
    await expectRefused(
      office,
      '/soak/fill',
      lost,
      { placeId: /not registered/, waterTempC: /between -5 and 70/ },
      ['placeId'],
    )
  })

  it('takes in wood of several lots at once and counts the hours, with both sources', async () => {
    const one = await recordLot(office, scene, '27-001', { bundles: [] })
    const two = await recordLot(office, scene, '27-002', { bundles: [] })
    const address = `/soak/${bathId}/put-in`
    const page = await pageAt(office, address)
    expect(htmlProblems(page)).toEqual([])
    const wood = [inRoom(one.lotId), inRoom(two.lotId)]
    const fields = {
      wood,
      [`sticks-${inRoom(two.lotId)}`]: '40',
      bathId,
      when: '2027-02-09T09:00',
    }
    expect(await expectSaved(office, address, fields)).toBe(`/soak/${bathId}?saved=2`)
    const soak = plainText(await pageAt(office, '/soak'))
    // From 9:00 on the 9th to 13:00 on the 10th by the clocks of Vienna: 28 hours.
    expect(soak).toMatch(/27-001 loose Alba Fina 240 sticks 28 h , since 2027-02-09 09:00/)
    expect(soak).toContain('In water for 28 h, as asked for.')
    // WineSkills asks for 24-48 h; Wine Australia and Waite & Morton advise against.
    expect(soak).toContain('24 to 48 hours here')
    expect(soak).toContain('WineSkills')
    expect(soak).toContain('Wine Australia')
    expect(soak).toContain('Waite & Morton')
    expect(htmlProblems(await pageAt(office, '/soak'))).toEqual([])
    expect(htmlProblems(await pageAt(office, `/soak/${bathId}`))).toEqual([])
  })

  it('does not take in wood on hold, nor wood from before it was filled', async () => {
    const held = await recordLot(office, scene, '27-003', { bundles: [] })
    const body = {
      holdId: newId(),
      on: { kind: 'lot' as const, id: held.lotId },
      agent: null,
      reason: 'crown gall is suspected',
    }
    await office.record([{ kind: 'hold.placed', body }])
    const address = `/soak/${bathId}/put-in`
    const fields = { wood: inRoom(held.lotId), bathId, when: '2027-02-08T07:59' }
    await expectRefused(office, address, fields, {
      wood: /27-003 may not be used.*crown gall is suspected/,
      when: /the bath in Tank 1 was filled at 2027-02-08 08:00/,
    })
  })

  it('is not emptied while wood is recorded in it, and the wood is named', async () => {
    const address = `/soak/${bathId}/empty`
    const page = await pageAt(office, address)
    expect(htmlProblems(page)).toEqual([])
    expect(page).toContain(`href="/soak/${bathId}/take-out"`)
    await expectRefused(
      office,
      address,
      { when: '' },
      {
        bath: /27-001, loose \(240 sticks\); 27-002, loose \(40 sticks\)\. Take it out first/,
      },
    )
  })

  it('gives back all its wood at once, and what was drained is listed with its hours', async () => {
    const address = `/soak/${bathId}/take-out`
    const page = await pageAt(office, address)
    expect(htmlProblems(page)).toEqual([])
    const listed = [...page.matchAll(/name="listed" value="([^"]+)"/g)].map((match) => match[1])
    expect(listed).toHaveLength(2)
    const fields = {
      wood: 'all',
      listed: listed.map(String),
      to: `place ${scene.shed}`,
      when: '2027-02-10T11:30',
    }
    await expectSaved(office, address, fields)
    const soak = plainText(await pageAt(office, '/soak'))
    expect(soak).toContain('No wood is recorded in it')
    expect(soak).toMatch(/27-001 Alba Fina Tank 1 1 h 30 min , since 2027-02-10 11:30/)
    expect(soak).toContain('Soaked for 26 h 30 min, as asked for.')
  })

  it('is emptied then, is no longer offered, and its tank can be filled again', async () => {
    await expectSaved(office, `/soak/${bathId}/empty`, { when: '' })
    expect(plainText(await pageAt(office, '/soak'))).toContain('No bath stands filled')
    const again = await office.post(`/soak/${bathId}/empty`, { when: '' })
    expect(again.status).toBe(422)
    expect(plainText(await again.text())).toContain('has been emptied')
    const three = await recordLot(office, scene, '27-004', { bundles: [] })
    await expectRefused(
      office,
      `/lots/${three.lotId}/soak`,
      { wood: inRoom(three.lotId), bathId },
      { bathId: /not known/ },
      ['bathId'],
    )
    const fields = { ...filling(), when: '' }
    expect(bathIdIn(await expectSaved(office, '/soak/fill', fields))).not.toBe(bathId)
  })
})

it('wood too briefly soaked is said to need more', async () => {
  const fields = { ...filling(), placeId: scene.otherTank }
  const bathId = bathIdIn(await expectSaved(office, '/soak/fill', fields))
  const { lotId } = await recordLot(office, scene, '27-010', { bundles: [] })
  const began = { wood: inRoom(lotId), bathId, when: '2027-02-10T02:00' }
  await expectSaved(office, `/lots/${lotId}/soak`, began)
  expect(plainText(await pageAt(office, '/soak'))).toContain(
    'In water for 11 h; 24 to 48 h are asked for.',
  )
  const out = { wood: inBath(lotId, bathId), to: `holder ${scene.crew}`, when: '2027-02-10T12:00' }
  await expectSaved(office, `/soak/${bathId}/take-out`, out)
  expect(await lastBody(office, 'soak.ended')).toMatchObject({
    to: { kind: 'holder', id: scene.crew },
  })
  expect(plainText(await pageAt(office, '/soak'))).toContain('Soaked for only 10 h')
})

it('a bath that nobody filled is not found', async () => {
  expect((await office.app.request(`/soak/${newId()}`)).status).toBe(404)
  expect((await office.app.request('/soak/tank-1')).status).toBe(404)
})
