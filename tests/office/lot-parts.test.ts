// Splitting and combining lots at the desk: what is saved, and what is refused.
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { NIL_ID } from '#wire/basics.ts'
import { readLotDetail } from '../../api/lots/lot-detail.ts'
import { newId } from '../../api/platform/clock.ts'
import { positionKey } from '../../api/store/positions.ts'
import { htmlProblems } from '../browser/html-problems.ts'
import { officeApp } from '../office-app.ts'
import type { OfficeApp } from '../office-app.ts'
import { bodiesOf, expectRefused, expectSaved, lastBody, pageAt } from './form-answers.ts'
import { plainText, recordedSoFar } from './form-answers.ts'
import { at, recordLot, recordScene, sceneNow } from './wood-scene.ts'
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

describe('splitting a lot', () => {
  const parts = (wood: string, first: string, second: string) => ({
    wood,
    parts: '3',
    unit: 'stick',
    part1Reference: first,
    part1Count: '60',
    part1Bundles: '3',
    part1Each: '20',
    part2Reference: second,
    part2Count: '40',
    part2Bundles: '',
    part2Each: '',
    part3Reference: 'not used',
    part3Count: '',
    reason: 'two thicknesses',
    when: '',
  })

  it('makes each part a lot of the same wood where it lay, and both pages link', async () => {
    const { lotId, bundleIds } = await recordLot(office, scene, '27-001')
    const page = await pageAt(office, `/lots/${lotId}/split`)
    expect(htmlProblems(page)).toEqual([])
    expect(page).toContain('value="27-002"')
    const wood = inRoom(lotId, bundleIds[0] ?? null)
    await expectSaved(office, `/lots/${lotId}/split`, parts(wood, '27-002', '27-003'))
    const body = (await lastBody(office, 'lot.split')) as { parts: { lotId: string }[] }
    expect(body).toMatchObject({
      parentLotId: lotId,
      parentBundleId: bundleIds[0],
      from: { kind: 'place', id: scene.room },
      varietyId: scene.variety,
      clone: '12',
      class: 'certified',
      reason: 'two thicknesses',
    })
    expect(body.parts).toHaveLength(2)
    const parent = plainText(await pageAt(office, `/lots/${lotId}`))
    expect(parent).toContain('Split: 60 sticks became 27-002, 40 sticks became 27-003')
    const child = await pageAt(office, `/lots/${body.parts[0]?.lotId ?? ''}`)
    expect(child).toContain(`href="/lots/${lotId}"`)
    expect(plainText(child)).toContain('Parted from 27-001: 60 sticks, 3 bundles tied')
    const detail = await readLotDetail(office.services.db, lotId)
    const sum = detail?.balance.reduce((total, holding) => total + holding.sticks, 0)
    expect(sum, 'invariant 4').toBe(0)
    expect(detail?.balance.find(({ account_kind }) => account_kind === 'place')?.sticks).toBe(140)
  })

  it('takes the account without asking when the wood is in one place', async () => {
    const { lotId } = await recordLot(office, scene, '27-010', { bundles: [] })
    await expectSaved(office, `/lots/${lotId}/split`, parts('', '27-011', '27-012'))
    expect(await lastBody(office, 'lot.split')).toMatchObject({
      parentBundleId: null,
      from: { kind: 'place', id: scene.room },
    })
  })

  it('gives more lines when asked, keeping what was typed and writing nothing', async () => {
    const { lotId, bundleIds } = await recordLot(office, scene, '27-015')
    const before = await recordedSoFar(office)
    const fields = parts(inRoom(lotId, bundleIds[0] ?? null), '27-016', '27-017')
    const response = await office.post(`/lots/${lotId}/split`, { ...fields, step: 'more' })
    const page = await response.text()
    expect(response.status).toBe(200)
    expect(page).toContain('Part 8')
    expect(page).toContain('value="27-017"')
    expect(page).not.toContain('Not saved')
    expect(htmlProblems(page)).toEqual([])
    expect(await recordedSoFar(office)).toEqual(before)
  })

  it('refuses parts that come to more than is there, saying what is there', async () => {
    const { lotId, bundleIds } = await recordLot(office, scene, '27-020')
    const fields = { ...parts(inRoom(lotId, bundleIds[0] ?? null), '27-021', '27-022') }
    await expectRefused(
      office,
      `/lots/${lotId}/split`,
      { ...fields, part2Count: '41' },
      { part2Count: /27-020, bundle 1, Cold room: 100 sticks there, .* 101 sticks/ },
    )
  })

  it('refuses taken and doubled references, no parts, no reason and unchosen wood', async () => {
    const { lotId, bundleIds } = await recordLot(office, scene, '27-030')
    const wood = inRoom(lotId, bundleIds[1] ?? null)
    const path = `/lots/${lotId}/split`
    const twice = { ...parts(wood, '27-031', '27-031'), reason: '' }
    await expectRefused(office, path, twice, {
      part2Reference: /given twice/,
      reason: /say why/,
    })
    await expectRefused(office, path, parts(wood, '27-030', '27-031'), {
      part1Reference: /another lot’s reference/,
    })
    const none = { wood, parts: '3', unit: 'stick', part1Reference: '27-031', reason: 'x' }
    await expectRefused(office, path, none, { part1Count: /give at least one part/ })
    await expectRefused(office, path, parts('', '27-031', '27-032'), { wood: /choose the wood/ })
  })

  it('refuses a time before the wood came to where it is parted', async () => {
    const { lotId, bundleIds } = await recordLot(office, scene, '27-040')
    const wood = inRoom(lotId, bundleIds[0] ?? null)
    const fields = { ...parts(wood, '27-041', '27-042'), when: '2027-01-20T09:59' }
    await expectRefused(office, `/lots/${lotId}/split`, fields, {
      when: /came there at 2027-01-20 10:00: give a later time/,
    })
  })

  it('does not offer wood that lies in water', async () => {
    const bathId = newId()
    const { lotId } = await recordLot(office, scene, '27-050', { bundles: [] })
    await office.record([
      {
        kind: 'bath.filled',
        occurredAt: at('2027-02-09T08:00'),
        body: {
          bathId,
          placeId: scene.tank,
          water: 'well',
          waterTempC: null,
          disinfectant: null,
          litres: null,
        },
      },
      {
        kind: 'soak.began',
        occurredAt: at('2027-02-09T09:00'),
        body: {
          wood: { lotId, bundleId: null, unit: 'stick', count: 240 },
          from: { kind: 'place', id: scene.room },
          bathId,
        },
      },
    ])
    const page = plainText(await pageAt(office, `/lots/${lotId}/split`))
    expect(page).toContain('Wood in a bath is taken out first')
  })
})

describe('combining lots', () => {
  const form = (wood: string[], reference: string) => ({
    wood,
    reference,
    budsPerStick: '6',
    bundleCount: '',
    piecesEach: '',
    to: `place ${scene.rack}`,
    reason: 'one thickness',
    when: '',
  })

  /** Presses “Show the shares” and reads what must be sent back with “Combine”. */
  async function shares(fields: Record<string, string | string[]>) {
    const before = await recordedSoFar(office)
    const response = await office.post('/lots/combine', { ...fields, step: 'shares' })
    const page = await response.text()
    expect(await recordedSoFar(office)).toEqual(before)
    const seen = /name="seen" value="([^"]*)"/.exec(page)?.[1] ?? ''
    return { status: response.status, page, seen }
  }

  it('shows exact shares first, then saves and shows them on the lot’s page', async () => {
    const one = await recordLot(office, scene, '27-300', { sticks: 60, bundles: [] })
    const two = await recordLot(office, scene, '27-301', { sticks: 40, bundles: [] })
    const fields = form([inRoom(one.lotId), inRoom(two.lotId)], '27-302')
    const shown = await shares(fields)
    expect(shown.status).toBe(200)
    expect(htmlProblems(shown.page)).toEqual([])
    // 60 and 40 sticks of 6 buds: 360/600 and 240/600.
    expect(plainText(shown.page)).toMatch(/27-300 Hill block 3\/5 60\.0/)
    expect(plainText(shown.page)).toMatch(/27-301 Hill block 2\/5 40\.0/)
    const save = { ...fields, step: 'save', seen: shown.seen }
    const address = await expectSaved(office, '/lots/combine', save)
    const page = plainText(await pageAt(office, address))
    expect(page).toContain('Combined of 60 sticks of 27-300, 40 sticks of 27-301: one thickness')
    expect(page).toMatch(/27-300 Hill block 3\/5 60\.0/)
    expect(await lastBody(office, 'lot.combined')).toMatchObject({
      to: { kind: 'place', id: scene.rack },
      parents: [
        { lotId: one.lotId, bundleId: null, count: 60, budEquivalents: 360 },
        { lotId: two.lotId, bundleId: null, count: 40, budEquivalents: 240 },
      ],
    })
  })

  it('refuses to save shares that were not shown', async () => {
    const one = await recordLot(office, scene, '27-310', { sticks: 60, bundles: [] })
    const two = await recordLot(office, scene, '27-311', { sticks: 40, bundles: [] })
    const fields = form([inRoom(one.lotId), inRoom(two.lotId)], '27-312')
    const { seen } = await shares(fields)
    const changed = { ...fields, [`sticks-${inRoom(one.lotId)}`]: '20' }
    const page = await expectRefused(
      office,
      '/lots/combine',
      { ...changed, step: 'save', seen },
      { shares: /look at the shares below/ },
      ['step', 'seen'],
    )
    expect(plainText(page)).toMatch(/27-310 Hill block 1\/3/)
    await expectRefused(
      office,
      '/lots/combine',
      { ...fields, step: 'save' },
      { shares: /look at the shares below/ },
      ['step'],
    )
  })

  it('weighs lots that were combined before by their own origins', async () => {
    const one = await recordLot(office, scene, '27-320', { sticks: 30, bundles: [] })
    const two = await recordLot(office, scene, '27-321', { sticks: 30, bundles: [] })
    const three = await recordLot(office, scene, '27-322', { sticks: 40, bundles: [] })
    const first = form([inRoom(one.lotId), inRoom(two.lotId)], '27-323')
    const { seen } = await shares(first)
    const address = await expectSaved(office, '/lots/combine', { ...first, step: 'save', seen })
    const mixed = address.slice('/lots/'.length, '/lots/'.length + 36)
    const key = positionKey(mixed, null, { kind: 'place', id: scene.rack })
    const { page } = await shares(form([key, inRoom(three.lotId)], '27-324'))
    // 60 mixed half and half, and 40 of the third: 3/10, 3/10, 2/5.
    expect(plainText(page)).toMatch(/27-322 Hill block 2\/5 40\.0/)
    expect(plainText(page)).toMatch(/27-320 Hill block 3\/10 30\.0/)
    expect(plainText(page)).toMatch(/27-321 Hill block 3\/10 30\.0/)
  })

  it('refuses lots of different variety, clone or year, naming both', async () => {
    const one = await recordLot(office, scene, '27-330', { bundles: [] })
    const other = await recordLot(office, scene, '27-331', {
      bundles: [],
      varietyId: scene.otherVariety,
      sourceId: scene.otherSource,
    })
    const old = await recordLot(office, scene, '27-332', { bundles: [], harvestYear: 2025 })
    const mix = async (lotId: string) => {
      const fields = form([inRoom(one.lotId), inRoom(lotId)], '27-333')
      const { status, page } = await shares(fields)
      expect(status).toBe(422)
      return plainText(page)
    }
    expect(await mix(other.lotId)).toContain('27-330 is Alba Fina, 27-331 is Negra Sola')
    expect(await mix(old.lotId)).toContain('27-330 is 2026, 27-332 is 2025')
  })

  it('refuses wood of one lot alone, and wood that is on hold', async () => {
    const one = await recordLot(office, scene, '27-340')
    const two = await recordLot(office, scene, '27-341', { bundles: [] })
    const [first = null, second = null] = one.bundleIds
    const alone = form([inRoom(one.lotId, first), inRoom(one.lotId, second)], '27-342')
    const { page } = await shares(alone)
    expect(plainText(page)).toContain('wood of at least two lots is needed')
    await office.record([
      {
        kind: 'hold.placed',
        body: {
          holdId: newId(),
          on: { kind: 'lot', id: two.lotId },
          agent: null,
          reason: 'a label is missing',
        },
      },
    ])
    const held = form([inRoom(one.lotId, first), inRoom(two.lotId)], '27-343')
    const { seen } = await shares(held)
    await expectRefused(
      office,
      '/lots/combine',
      { ...held, step: 'save', seen },
      { wood: /27-341 may not be used.*on hold.*a label is missing/ },
      ['step', 'seen'],
    )
    const bodies = await bodiesOf(office, 'lot.combined')
    expect(bodies.every((body) => body.reference !== '27-343')).toBe(true)
  })

  it('refuses wood that nobody has and a key that is none', async () => {
    const one = await recordLot(office, scene, '27-350', { bundles: [] })
    const gone = positionKey(one.lotId, null, { kind: 'place', id: scene.shed })
    const { status, page } = await shares(form([gone, NIL_ID], '27-351'))
    expect(status).toBe(422)
    expect(plainText(page)).toContain('no longer where it was')
  })
})
