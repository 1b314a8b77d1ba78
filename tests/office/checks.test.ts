// Checks of buds and moisture at the desk: refused where they cannot be, and judged by.
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { positionKey } from '../../api/store/positions.ts'
import { htmlProblems } from '../browser/html-problems.ts'
import { officeApp } from '../office-app.ts'
import type { OfficeApp } from '../office-app.ts'
import { expectRefused, expectSaved, lastBody, pageAt, plainText } from './form-answers.ts'
import { recordLot, recordScene, sceneNow } from './wood-scene.ts'
import type { Scene } from './wood-scene.ts'

let office: OfficeApp
let scene: Scene
let lotId = ''
beforeAll(async () => {
  office = await officeApp(sceneNow)
  scene = await recordScene(office)
  lotId = (await recordLot(office, scene, '27-001')).lotId
})
afterAll(() => office.drop())

const loose = () => positionKey(lotId, null, { kind: 'place', id: scene.room })
const cutBud = () => ({
  ...{ method: 'cut bud', sampledCount: '96', liveCount: '87', forcedDays: '' },
  ...{ bundleId: '', usedFrom: '', usedCount: '', usedUnit: '', when: '2027-02-09T09:00' },
  note: '',
})

describe('a check of buds', () => {
  it('is refused at the field when more live than were seen, or days fit no test', async () => {
    const path = `/lots/${lotId}/check`
    expect(htmlProblems(await pageAt(office, path))).toEqual([])
    const wrong = { ...cutBud(), sampledCount: '50', liveCount: '60', forcedDays: '20' }
    await expectRefused(office, path, wrong, {
      liveCount: /60 alive cannot come from 50/,
      forcedDays: /forcing test only/,
    })
    const early = { ...cutBud(), when: '2027-01-02T09:00', usedCount: '3' }
    await expectRefused(office, path, early, {
      when: /lot 27-001 is of 2027-01-20 10:00/,
      usedFrom: /say which wood/,
    })
    const much = { ...cutBud(), usedFrom: loose(), usedCount: '50', usedUnit: 'stick' }
    await expectRefused(office, path, much, { usedCount: /only 40 sticks are there/ })
  })

  it('shows both intervals as R gives them, and takes what it used off the lot', async () => {
    const used = { ...cutBud(), usedFrom: loose(), usedCount: '16', usedUnit: 'stick' }
    await expectSaved(office, `/lots/${lotId}/check`, used)
    expect(await lastBody(office, 'check.viability')).toMatchObject({
      sampledCount: 96,
      liveCount: 87,
      used: { unit: 'stick', count: 16, from: { kind: 'place', id: scene.room } },
    })
    const page = await pageAt(office, `/lots/${lotId}`)
    expect(htmlProblems(page)).toEqual([])
    const words = plainText(page)
    // R: binom.test(87, 96) 0.829..0.956 and prop.test(87, 96, correct = FALSE) 0.831..0.950.
    expect(words).toContain('82.9 to 95.6 %')
    expect(words).toContain('83.1 to 95.0 %')
    expect(words).toContain('87 of 96 buds were alive yesterday: at least 80 %.')
    expect(words).toContain('24 sticks')
  })

  it('too small for its claim says how many buds would do', async () => {
    const small = { ...cutBud(), sampledCount: '20', liveCount: '18', when: '2027-02-10T09:00' }
    await expectSaved(office, `/lots/${lotId}/check`, small)
    const words = plainText(await pageAt(office, `/lots/${lotId}`))
    expect(words).toContain('too few to show 80.0 %; 69 buds at this share would')
    expect(words).toContain('the sample is too small to be sure of 80 %')
  })

  it('that finds most buds dead stops the lot', async () => {
    const dead = { ...cutBud(), liveCount: '50', when: '2027-02-10T10:00' }
    await expectSaved(office, `/lots/${lotId}/check`, dead)
    const words = plainText(await pageAt(office, `/lots/${lotId}`))
    expect(words).toContain('Stop: 50 of 96 buds were alive today: fewer than 80 %.')
  })
})

describe('a check of moisture', () => {
  const weighed = {
    ...{ by: 'oven', firstGrams: '100', secondGrams: '50', percent: '', basis: '' },
    ...{ bundleId: '', usedFrom: '', usedCount: '', usedUnit: '', when: '2027-02-09T09:00' },
    note: '',
  }

  it('refuses a dry weight above the fresh one, and a meter without its basis', async () => {
    const path = `/lots/${lotId}/moisture`
    expect(htmlProblems(await pageAt(office, path))).toEqual([])
    await expectRefused(
      office,
      path,
      { ...weighed, firstGrams: '80', secondGrams: '90' },
      { secondGrams: /dry weight 90 cannot exceed the fresh weight 80/ },
    )
    await expectRefused(
      office,
      path,
      { ...weighed, by: 'meter', percent: '110' },
      { basis: /choose/, percent: /cannot be a share of water/ },
    )
    await expectRefused(office, path, { ...weighed, firstGrams: '' }, { firstGrams: /is needed/ })
  })

  it('is shown by both bases, and stops wood that lost too much', async () => {
    const { lotId: dryLot } = await recordLot(office, scene, '27-002')
    const path = `/lots/${dryLot}/moisture`
    await expectSaved(office, path, { ...weighed, when: '2027-01-21T09:00' })
    expect(plainText(await pageAt(office, `/lots/${dryLot}`))).toContain('50.0 % 1.00 g for 1 g')
    const again = { ...weighed, by: 'weighing again', secondGrams: '88' }
    await expectSaved(office, path, again)
    const words = plainText(await pageAt(office, `/lots/${dryLot}`))
    expect(words).toContain('12.0 % of its weight, all of it water')
    // 12 g of the 50 g of water that were there.
    expect(words).toContain('Stop: Too dry: 24 % of its water is lost since cutting')
  })

  it('below the share asked for stops the wood and names whose number it is', async () => {
    const { lotId: dryLot } = await recordLot(office, scene, '27-003')
    const meter = { ...weighed, by: 'meter', percent: '50', basis: 'dry weight' }
    await expectSaved(office, `/lots/${dryLot}/moisture`, meter)
    const words = plainText(await pageAt(office, `/lots/${dryLot}`))
    expect(words).toContain('Too dry: 33.3 % water by fresh weight; at least 34.2 % are asked for.')
    expect(words).toContain('Pomological Society 70(1), 2016')
  })
})
