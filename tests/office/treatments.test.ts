// Treatments and weather at the desk: refused line by line, judged by protocol, never a cure.
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

const blank = () => ({
  ...{ treatment: 'hot water', placeId: scene.tank, bathId: '', when: '2027-02-09T09:00' },
  ...{ purposes: [] as string[], curve: '', setTempC: '', minutes: '', product: '' },
  ...{ concentration: '', unit: '', dose: '', dipMinutes: '', note: '', tags: '' },
  wood: positionKey(lotId, null, { kind: 'place', id: scene.room }),
})

/** One reading a minute: half a minute of warming, then 50 °C. */
const curve = (minutes: number) =>
  Array.from({ length: minutes + 1 }, (_, minute) => `${minute}; ${minute === 0 ? 42 : 50}`).join(
    '\n',
  )

describe('hot water', () => {
  it('is refused without a purpose, with curve and setting, or with a line amiss', async () => {
    const page = await pageAt(office, '/soak/treat')
    expect(htmlProblems(page)).toEqual([])
    expect(plainText(page)).toContain('scalds within moments')
    await expectRefused(office, '/soak/treat', blank(), {
      purposes: /tick what the hot water was used against/,
      setTempC: /give the curve, or the temperature/,
      minutes: /how many minutes/,
    })
    const purposes = ['phylloxera']
    const both = { ...blank(), purposes, curve: '0; 50\n1; 50', setTempC: '50', minutes: '45' }
    await expectRefused(office, '/soak/treat', both, { setTempC: /not both/ })
    const back = { ...blank(), purposes, curve: '0; 50\n5; 50,1\n4; 50' }
    await expectRefused(office, '/soak/treat', back, { curve: /line 3: minute 4 is not after 5/ })
    const odd = { ...blank(), purposes, curve: '0; 50\nat five: 122 F' }
    await expectRefused(office, '/soak/treat', odd, { curve: /line 2: write a minute/ })
  })

  it('by a curve is met, reduced or of no effect, purpose by purpose', async () => {
    const purposes = ['flavescence dorée', 'crown gall (Agrobacterium vitis)', 'viruses']
    const address = await expectSaved(office, '/soak/treat', {
      ...blank(),
      purposes,
      curve: curve(46),
    })
    expect(await lastBody(office, 'treatment.done')).toMatchObject({
      treated: [{ lotId, bundleId: null, unit: 'stick', count: 40 }],
      done: { treatment: 'hot water', purposes, run: { by: 'curve' } },
    })
    const page = await pageAt(office, address)
    expect(htmlProblems(page)).toEqual([])
    const words = plainText(page)
    expect(words).toContain('flavescence dorée protocol met 50 °C, 45 min 45 min at 50 °C')
    expect(words).toContain('crown gall (Agrobacterium vitis) reduced, may still be there')
    expect(words).toContain('viruses heat does nothing against it')
    expect(words).toContain('Drain and air the wood now')
    expect(words).not.toMatch(/\bcured\b|\bcleared\b/)
    const onLot = plainText(await pageAt(office, `/lots/${lotId}`))
    expect(onLot).toContain('flavescence dorée: protocol met')
    expect(onLot).toContain('Hot water, measured 47 times from 42 to 50 °C')
  })

  it('a minute short is not met', async () => {
    const short = { ...blank(), purposes: ['Xylella fastidiosa'], setTempC: '50', minutes: '44' }
    const address = await expectSaved(office, '/soak/treat', short)
    expect(plainText(await pageAt(office, address))).toContain('protocol not met')
    expect(plainText(await pageAt(office, '/soak/treatments'))).toContain('set to 50 °C for 44 min')
  })
})

it('a dip keeps its product, its concentration as a number and as the label words it', async () => {
  const dip = { ...blank(), treatment: 'disinfectant dip' }
  await expectRefused(office, '/soak/treat', dip, { product: /product is needed/ })
  const whole = { ...dip, product: 'Chlorine bleach', concentration: '0,5', unit: '%' }
  const address = await expectSaved(office, '/soak/treat', {
    ...whole,
    dose: '1 part in 9',
    dipMinutes: '3',
  })
  expect(plainText(await pageAt(office, address))).toContain(
    'disinfectant dip: Chlorine bleach, 0.5 %, 1 part in 9, 3 min.',
  )
})

it('each treatment is drawn on the lot’s storage by its time, and told in the table', async () => {
  const page = await pageAt(office, `/store/lots/${lotId}`)
  expect(htmlProblems(page)).toEqual([])
  const picture = /<figure class="chart">[\s\S]*?<\/figure>/.exec(page)?.[0] ?? ''
  const drawn = [...picture.matchAll(/M([\d.]+) [\d.]+ l6 6 /g)].map((match) => Number(match[1]))
  expect(drawn).toHaveLength(3)
  expect(drawn.every((at) => at >= 62 && at <= 984)).toBe(true)
  expect(picture).toContain('hot water, set to 50 °C for 44 min')
  expect(plainText(page)).toContain('Treatments, the latest first')
})

describe('weather', () => {
  const typed = { tempC: '', humidity: '', wind: '', when: '', site: '', lines: '' }

  it('over 100 % or in the future is named by its line, and nothing is taken', async () => {
    expect(htmlProblems(await pageAt(office, '/soak/weather'))).toEqual([])
    const lines = '2027-02-10 08:00; 12; 80; 2\n2027-02-10 09:00; 12; 120\n2027-02-11 09:00; 1; 50'
    await expectRefused(
      office,
      '/soak/weather',
      { ...typed, lines },
      {
        lines: /line 2: humidity is from 0 to 100 %, not 120; line 3: .* lies in the future/,
      },
    )
    await expectRefused(
      office,
      '/soak/weather',
      { ...typed, tempC: '12', humidity: '101' },
      {
        humidity: /between 0 and 100/,
      },
    )
  })

  it('shortens the time out of water in proportion to how strongly the air dries', async () => {
    expect(plainText(await pageAt(office, '/soak/weather'))).toContain('caution after 24 h')
    const lines = '2027-02-10 08:00; 12; 80; 2\n2027-02-10 12:30; 35; 20; 4'
    await expectSaved(office, '/soak/weather', { ...typed, lines, site: 'by the shed' })
    const words = plainText(await pageAt(office, '/soak/weather'))
    // FAO-56: 35 °C at 20 % is 4.498 kPa; 24 h and 72 h at 1 kPa come to 5.3 h and 16 h.
    expect(words).toContain('Drying power, the most of the last 24 hours: 4.5 kPa')
    expect(words).toContain('caution after 5.3 h and stop after 16 h')
  })
})
