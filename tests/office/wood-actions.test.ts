// Moving, handing over, taking back, soaking and discarding wood from a lot's page.
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { newId } from '../../api/platform/clock.ts'
import { positionKey, readPositions } from '../../api/store/positions.ts'
import { htmlProblems } from '../browser/html-problems.ts'
import { officeApp } from '../office-app.ts'
import type { OfficeApp } from '../office-app.ts'
import { bodiesOf, expectRefused, expectSaved, lastBody, pageAt } from './form-answers.ts'
import { plainText } from './form-answers.ts'
import { at, recordLot, recordScene, sceneNow } from './wood-scene.ts'
import type { Scene } from './wood-scene.ts'

let office: OfficeApp
let scene: Scene
beforeAll(async () => {
  office = await officeApp(sceneNow)
  scene = await recordScene(office)
})
afterAll(() => office.drop())

const room = () => ({ kind: 'place' as const, id: scene.room })
const keyOf = (lotId: string, bundleId: string | null = null, account = room()) =>
  positionKey(lotId, bundleId, account)

/** Where the lot's wood is, as people read it. */
async function whereabouts(lotId: string): Promise<string[]> {
  const { positions } = await readPositions(office.services.db, 'UTC', { lotIds: [lotId] })
  return positions.map(
    ({ bundleNumber, accountName, sticks, buds }) =>
      `${bundleNumber ?? 'loose'}: ${sticks}+${buds}, ${accountName}`,
  )
}

async function fillBath(tank: string, filledAt = '2027-02-09T08:00'): Promise<string> {
  const bathId = newId()
  const body = {
    bathId,
    placeId: tank,
    water: 'well',
    waterTempC: 11,
    disinfectant: null,
    litres: 400,
  }
  await office.record([{ kind: 'bath.filled', occurredAt: at(filledAt), body }])
  return bathId
}

async function hold(lotId: string, reason: string): Promise<void> {
  const body = { holdId: newId(), on: { kind: 'lot' as const, id: lotId }, agent: null, reason }
  await office.record([{ kind: 'hold.placed', body }])
}

async function handOver(lotId: string, sticks: number): Promise<void> {
  const wood = { lotId, bundleId: null, unit: 'stick' as const, count: sticks }
  await office.record([
    {
      kind: 'wood.handed_over',
      occurredAt: at('2027-02-08T07:00'),
      body: { wood, from: room(), toHolderId: scene.crew, note: '' },
    },
  ])
}

describe('moving wood of a lot', () => {
  it('moves the only wood there is without asking where it lies', async () => {
    const { lotId } = await recordLot(office, scene, '27-001', { bundles: [] })
    const page = await pageAt(office, `/lots/${lotId}/move`)
    expect(htmlProblems(page)).toEqual([])
    expect(page).not.toContain('type="checkbox"')
    const wood = keyOf(lotId)
    const fields = { wood, [`sticks-${wood}`]: '100', placeId: scene.bin, when: '' }
    expect(await expectSaved(office, `/lots/${lotId}/move`, fields)).toBe(`/lots/${lotId}?saved=1`)
    expect((await whereabouts(lotId)).sort()).toEqual([
      'loose: 100+0, Cold room › Rack A › Bin 3',
      'loose: 140+0, Cold room',
    ])
    const lot = plainText(await pageAt(office, `/lots/${lotId}`))
    expect(lot).toContain('100 sticks (loose) put into Bin 3 from Cold room')
  })

  it('moves several bundles in one go, each as an entry of its own', async () => {
    const { lotId, bundleIds } = await recordLot(office, scene, '27-002')
    const [first = '', second = ''] = bundleIds
    const page = await pageAt(office, `/lots/${lotId}/move`)
    expect(page.match(/type="checkbox"/g)?.length).toBe(4)
    const wood = [keyOf(lotId, first), keyOf(lotId, second)]
    await expectSaved(office, `/lots/${lotId}/move`, { wood, placeId: scene.shed })
    expect(await whereabouts(lotId)).toEqual([
      'loose: 40+0, Cold room',
      '1: 100+0, Grafting shed',
      '2: 100+0, Grafting shed',
    ])
  })

  it('ticks everything that was listed, and nothing that came later', async () => {
    const { lotId, bundleIds } = await recordLot(office, scene, '27-003')
    const listed = [keyOf(lotId), ...bundleIds.map((id) => keyOf(lotId, id))]
    const fields = { wood: 'all', listed: listed.slice(0, 2), placeId: scene.shed }
    await expectSaved(office, `/lots/${lotId}/move`, fields)
    expect(await whereabouts(lotId)).toEqual([
      'loose: 40+0, Grafting shed',
      '1: 100+0, Grafting shed',
      '2: 100+0, Cold room',
    ])
  })

  it('refuses more than is there, saying what is there', async () => {
    const { lotId, bundleIds } = await recordLot(office, scene, '27-004')
    const wood = keyOf(lotId, bundleIds[0] ?? null)
    const field = `sticks-${wood}`
    const refusal = { [field]: /27-004, bundle 1, Cold room: 100 sticks there, not 101/ }
    const fields = { wood, [field]: '101', placeId: scene.shed, when: '2027-02-01T08:00' }
    const page = await expectRefused(office, `/lots/${lotId}/move`, fields, refusal)
    expect(htmlProblems(page)).toEqual([])
  })

  it('refuses counts that are no whole number, nothing chosen, nowhere and a tank', async () => {
    const { lotId, bundleIds } = await recordLot(office, scene, '27-005')
    const path = `/lots/${lotId}/move`
    const wood = keyOf(lotId, bundleIds[0] ?? null)
    const field = `sticks-${wood}`
    for (const typed of ['1,5', 'ten', '-3']) {
      const fields = { wood, [field]: typed, placeId: scene.shed }
      await expectRefused(office, path, fields, { [field]: /whole number of sticks/ })
    }
    const zero = { wood, [field]: '0', placeId: scene.shed }
    await expectRefused(office, path, zero, { [field]: /0 moves nothing/ })
    await expectRefused(office, path, { placeId: scene.shed }, { wood: /choose some wood/ })
    await expectRefused(office, path, { wood, placeId: '' }, { placeId: /choose where/ })
    const tank = { wood, placeId: scene.tank }
    await expectRefused(office, path, tank, { placeId: /is a tank/ }, ['placeId'])
    const same = { wood, placeId: scene.room }
    await expectRefused(office, path, same, { placeId: /already there: 27-005, bundle 1/ })
  })

  it('refuses a time to come, and one before the wood was there', async () => {
    const { lotId } = await recordLot(office, scene, '27-006', { bundles: [] })
    const path = `/lots/${lotId}/move`
    const fields = { wood: keyOf(lotId), placeId: scene.shed }
    const future = { ...fields, when: '2027-02-11T08:00' }
    await expectRefused(office, path, future, { when: /in the future/ })
    const early = { ...fields, when: '2027-01-19T08:00' }
    await expectRefused(office, path, early, { when: /came there at 2027-01-20 10:00/ })
  })

  it('refuses wood that has gone elsewhere since the page was opened', async () => {
    const { lotId } = await recordLot(office, scene, '27-007', { bundles: [] })
    const fields = { wood: keyOf(lotId), placeId: scene.shed }
    await expectSaved(office, `/lots/${lotId}/move`, fields)
    await expectRefused(
      office,
      `/lots/${lotId}/move`,
      { ...fields, placeId: scene.bin },
      { wood: /no longer where it was/ },
      ['wood'],
    )
  })

  it('refuses a lot that nobody knows', async () => {
    const response = await office.post(`/lots/${newId()}/move`, { placeId: scene.shed })
    expect(response.status).toBe(404)
    expect(plainText(await response.text())).toContain('no such lot')
    expect((await office.app.request('/lots/not-an-id')).status).toBe(404)
  })
})

describe('handing over', () => {
  it('gives wood to a crew, who then has it, and the lot’s page says so', async () => {
    const { lotId } = await recordLot(office, scene, '27-040', { bundles: [] })
    const wood = keyOf(lotId)
    const fields = {
      wood,
      [`sticks-${wood}`]: '90',
      toHolderId: scene.crew,
      note: 'for row 12',
    }
    await expectSaved(office, `/lots/${lotId}/hand-over`, fields)
    expect(await lastBody(office, 'wood.handed_over')).toMatchObject({
      from: room(),
      toHolderId: scene.crew,
      note: 'for row 12',
      wood: { lotId, bundleId: null, unit: 'stick', count: 90 },
    })
    const page = plainText(await pageAt(office, `/lots/${lotId}`))
    expect(page).toContain('90 sticks (loose) handed over to Crew north from Cold room: for row 12')
    expect(plainText(await pageAt(office, '/custody'))).toMatch(/Crew north .*27-040.*90 sticks/)
  })

  it('ends the soak of wood that goes straight from the water to a person', async () => {
    const bathId = await fillBath(scene.otherTank)
    const { lotId } = await recordLot(office, scene, '27-041', { bundles: [] })
    const soak = { wood: keyOf(lotId), bathId, when: '2027-02-09T10:00' }
    await expectSaved(office, `/lots/${lotId}/soak`, soak)
    const wood = positionKey(lotId, null, { kind: 'bath', id: bathId })
    const fields = { wood, toHolderId: office.person.personId }
    await expectSaved(office, `/lots/${lotId}/hand-over`, fields)
    expect(await lastBody(office, 'soak.ended')).toMatchObject({
      bathId,
      to: { kind: 'holder', id: office.person.personId },
    })
    expect(await whereabouts(lotId)).toEqual(['loose: 240+0, Tessa Arden'])
  })

  it('refuses a lot on hold, saying which hold, and the same lot may still be moved', async () => {
    const { lotId } = await recordLot(office, scene, '27-042', { bundles: [] })
    await hold(lotId, 'the passport is missing')
    const fields = { wood: keyOf(lotId), toHolderId: scene.crew }
    await expectRefused(office, `/lots/${lotId}/hand-over`, fields, {
      wood: /27-042 may not be used.*on hold.*Hold of 2027-02-10 by Tessa Arden: “the passport/,
    })
    const moved = { wood: keyOf(lotId), placeId: scene.shed }
    await expectSaved(office, `/lots/${lotId}/move`, moved)
  })

  it('refuses wood that was stored beyond the limit, with the days', async () => {
    const cutAt = at('2026-05-20T09:00')
    const { lotId } = await recordLot(office, scene, '26-001', { bundles: [] }, cutAt)
    const fields = { wood: keyOf(lotId), toHolderId: scene.crew }
    await expectRefused(office, `/lots/${lotId}/hand-over`, fields, {
      wood: /Cut 266 days ago; the limit is 243 days/,
    })
  })

  it('refuses somebody who is no crew or person here, and whoever has it already', async () => {
    const { lotId } = await recordLot(office, scene, '27-043', { bundles: [] })
    const path = `/lots/${lotId}/hand-over`
    const fields = { wood: keyOf(lotId), toHolderId: scene.supplier }
    const no = ['toHolderId']
    await expectRefused(office, path, fields, { toHolderId: /no crew or person/ }, no)
    await expectSaved(office, path, { ...fields, toHolderId: scene.crew })
    const wood = positionKey(lotId, null, { kind: 'holder', id: scene.crew })
    const again = { wood, toHolderId: scene.crew }
    await expectRefused(office, path, again, { toHolderId: /already there/ })
  })

  it('refuses a note with characters that do not show', async () => {
    const { lotId } = await recordLot(office, scene, '27-044', { bundles: [] })
    const fields = { wood: keyOf(lotId), toHolderId: scene.crew, note: 'row\u200E 12' }
    await expectRefused(office, `/lots/${lotId}/hand-over`, fields, { note: /U\+200E/ })
  })
})

describe('taking back', () => {
  it('reckons opened sticks: 40 of 6 buds less 130 buds are 18 sticks and 2 buds', async () => {
    const { lotId } = await recordLot(office, scene, '27-050', { bundles: [], sticks: 40 })
    await handOver(lotId, 40)
    await office.record(
      Array.from({ length: 13 }, (_, nr) => ({
        kind: 'graft.made' as const,
        body: {
          vine: { rowId: newId(), position: nr + 1 },
          lotId,
          bundleId: null,
          from: { kind: 'holder' as const, id: scene.crew },
          method: 'chip bud',
          budCount: 10,
          knifeId: null,
          tie: null,
          note: '',
        },
      })),
    )
    expect(await whereabouts(lotId)).toEqual(['loose: 18+2, Crew north'])
    const wood = positionKey(lotId, null, { kind: 'holder', id: scene.crew })
    const path = `/lots/${lotId}/return`
    const much = { wood, [`sticks-${wood}`]: '19', placeId: scene.room }
    await expectRefused(office, path, much, {
      [`sticks-${wood}`]: /18 sticks and 2 buds there, not 19 sticks/,
    })
    await expectSaved(office, path, { wood, placeId: scene.room, note: 'rain' })
    expect(await whereabouts(lotId)).toEqual(['loose: 18+2, Cold room'])
    const bodies = (await bodiesOf(office, 'wood.returned')).slice(-2)
    expect(bodies).toMatchObject([
      { wood: { unit: 'stick', count: 18 }, fromHolderId: scene.crew, note: 'rain' },
      { wood: { unit: 'bud', count: 2 }, fromHolderId: scene.crew, placeId: scene.room },
    ])
  })

  it('says that nobody has any when nobody has', async () => {
    const { lotId } = await recordLot(office, scene, '27-051')
    const page = plainText(await pageAt(office, `/lots/${lotId}/return`))
    expect(page).toContain('No crew or person has any of it')
  })
})

describe('discarding', () => {
  it('takes wood out of the stock for a reason that stays on record', async () => {
    const { lotId } = await recordLot(office, scene, '27-060', { bundles: [] })
    const wood = keyOf(lotId)
    const fields = { wood, [`sticks-${wood}`]: '15', reason: 'mould' }
    await expectSaved(office, `/lots/${lotId}/discard`, fields)
    expect(await whereabouts(lotId)).toEqual(['loose: 225+0, Cold room'])
    const page = plainText(await pageAt(office, `/lots/${lotId}`))
    expect(page).toContain('15 sticks (loose) discarded from Cold room: mould')
  })

  it('ends the soak of wood thrown away out of a bath', async () => {
    const bathId = await fillBath(scene.tank)
    const { lotId } = await recordLot(office, scene, '27-061', { bundles: [] })
    const soak = { wood: keyOf(lotId), bathId, when: '2027-02-09T12:00' }
    await expectSaved(office, `/lots/${lotId}/soak`, soak)
    const wood = positionKey(lotId, null, { kind: 'bath', id: bathId })
    await expectSaved(office, `/lots/${lotId}/discard`, { wood, reason: 'slimy' })
    expect(await lastBody(office, 'soak.ended')).toMatchObject({ bathId })
    expect(await whereabouts(lotId)).toEqual([])
  })

  it('refuses without a reason', async () => {
    const { lotId } = await recordLot(office, scene, '27-062', { bundles: [] })
    const fields = { wood: keyOf(lotId), reason: '  ' }
    await expectRefused(office, `/lots/${lotId}/discard`, fields, { reason: /say why/ }, ['reason'])
  })
})
