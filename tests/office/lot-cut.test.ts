// The forms by which lots come to be: what they save, and what they refuse.
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { readLotDetail } from '../../api/lots/lot-detail.ts'
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
  await recordLot(office, scene, '27-007')
})
afterAll(() => office.drop())

const lotIdIn = (address: string) => address.replace(/^\/lots\/([0-9a-f-]{36}).*$/, '$1')

describe('cutting a lot', () => {
  const good = () => ({
    reference: '27-100',
    sourceId: scene.source,
    material: 'scion wood',
    clone: '',
    scheme: '',
    class: '–',
    harvestYear: '2026',
    budsPerStick: '6',
    sticks: '240',
    bundleCount: '2',
    piecesEach: '110',
    to: `place ${scene.room}`,
    when: '2027-02-03T14:05',
    note: '',
  })

  it('suggests the next number of the year and last summer as the year of growth', async () => {
    const page = await pageAt(office, '/lots/cut')
    expect(page).toMatch(/name="reference" value="27-008"|value="27-008"[^>]*name="reference"/)
    expect(page).toMatch(/value="2026"[^>]*name="harvestYear"/)
    expect(htmlProblems(page)).toEqual([])
  })

  it('saves what was typed, with clone and scheme of the source, and shows it', async () => {
    const address = await expectSaved(office, '/lots/cut', good())
    const body = await lastBody(office, 'lot.cut')
    expect(body).toMatchObject({
      reference: '27-100',
      varietyId: scene.variety,
      clone: '12',
      scheme: 'EU',
      class: null,
      sticks: 240,
      to: { kind: 'place', id: scene.room },
    })
    const page = plainText(await pageAt(office, address))
    expect(page).toContain('Saved: one entry in the journal')
    expect(page).toContain('Lot 27-100')
    // The nursery's clocks are an hour ahead of UTC in winter.
    expect(page).toContain('2027-02-03 14:05')
    const detail = await readLotDetail(office.services.db, lotIdIn(address))
    expect(detail?.identity?.occurred_at.toISOString()).toBe('2027-02-03T13:05:00.000Z')
  })

  it('ties bundles, leaves the rest loose, and warns of counts the law does not list', async () => {
    const address = await expectSaved(office, '/lots/cut', { ...good(), reference: '27-101' })
    const detail = await readLotDetail(office.services.db, lotIdIn(address))
    expect(detail?.bundles.map(({ count }) => count)).toEqual([110, 110])
    expect(detail?.loose.find(({ account_kind }) => account_kind === 'place')?.sticks).toBe(20)
    const page = plainText(await pageAt(office, address))
    // RebPflV 1986 Anlage 3: scion wood with five eyes in packages of 100 or 200.
    expect(page).toContain('110 pieces are no listed count; the nearest are 100 and 200')
    expect(page).toContain('RebPflV 1986 Anlage 3')
  })

  it('says nothing of package counts when the law lists them', async () => {
    const fields = { ...good(), reference: '27-102', piecesEach: '100' }
    const address = await expectSaved(office, '/lots/cut', fields)
    expect(plainText(await pageAt(office, address))).not.toContain('listed count')
  })

  it('refuses each bad field at its place and keeps what was typed', async () => {
    const bad = {
      ...good(),
      reference: '27-007',
      sourceId: scene.crew,
      harvestYear: '2028',
      budsPerStick: '6.5',
      sticks: '0',
      to: 'place nowhere',
      when: '2027-03-01T08:00',
    }
    const page = await expectRefused(
      office,
      '/lots/cut',
      bad,
      {
        reference: /27-007 is another lot’s reference/,
        sourceId: /not on the register/,
        harvestYear: /cannot have grown in 2028/,
        budsPerStick: /whole number, not 6\.5/,
        sticks: /between 1 and/,
        to: /choose where the wood is now/,
        when: /lies in the future/,
      },
      ['sourceId', 'to'],
    )
    expect(htmlProblems(page)).toEqual([])
  })

  it('refuses an empty form, naming every field that is needed', async () => {
    await expectRefused(
      office,
      '/lots/cut',
      {},
      {
        reference: /is needed/,
        sourceId: /choose the source/,
        material: /choose a material/,
        sticks: /is needed/,
        to: /choose where/,
      },
    )
  })

  it('refuses a reference that another lot has in other capitals', async () => {
    await expectSaved(office, '/lots/cut', { ...good(), reference: 'Hill-A' })
    await expectRefused(
      office,
      '/lots/cut',
      { ...good(), reference: 'HILL-a' },
      {
        reference: /HILL-a is another lot’s reference/,
      },
    )
  })

  it('refuses names that hide or imitate characters, saying which and where', async () => {
    const bad = { ...good(), reference: '27-\u202E103', clone: '1\u200B2', note: 'ok\u0007' }
    await expectRefused(office, '/lots/cut', bad, {
      reference: /character 4, U\+202E/,
      clone: /character 2, U\+200B/,
      note: /U\+0007/,
    })
  })

  it('refuses more bundles than there is wood, and half of a wish', async () => {
    const much = { ...good(), reference: '27-104', piecesEach: '200' }
    await expectRefused(office, '/lots/cut', much, {
      piecesEach: /2 bundles of 200 are 400 sticks, and there are only 240/,
    })
    const half = { ...good(), reference: '27-104', piecesEach: '' }
    await expectRefused(office, '/lots/cut', half, { piecesEach: /how many sticks each/ })
    const other = { ...good(), reference: '27-104', bundleCount: '' }
    await expectRefused(office, '/lots/cut', other, { bundleCount: /how many bundles/ })
  })

  it('refuses a time that the change to summer time skips', async () => {
    const fields = { ...good(), reference: '27-105', when: '2026-03-29T02:30' }
    await expectRefused(office, '/lots/cut', fields, { when: /clocks went forward/ })
  })
})

describe('receiving a lot', () => {
  const good = () => ({
    reference: '27-200',
    supplierId: scene.supplier,
    supplierReference: 'LL 44',
    passportCode: 'ES 2027/118',
    varietyId: scene.variety,
    origin: 'unknown',
    material: 'scion wood',
    clone: '12',
    scheme: 'EU',
    class: 'standard',
    harvestYear: '2026',
    budsPerStick: '5',
    count: '400',
    unit: 'stick',
    bundleCount: '2',
    piecesEach: '200',
    to: `place ${scene.bin}`,
    when: '',
    note: 'two boxes',
  })

  it('saves supplier, passport code and an unknown origin, and asks for caution', async () => {
    const address = await expectSaved(office, '/lots/receive', good())
    expect(await lastBody(office, 'lot.received')).toMatchObject({
      supplierId: scene.supplier,
      passportCode: 'ES 2027/118',
      sourceId: null,
      count: 400,
    })
    const page = plainText(await pageAt(office, address))
    expect(page).toContain('ES 2027/118')
    expect(page).toContain('Vivero del Llano')
    expect(page).toContain('Where this wood was cut is not recorded')
    expect(page).toContain('unknown origin')
  })

  it('has a form that is valid HTML', async () => {
    expect(htmlProblems(await pageAt(office, '/lots/receive'))).toEqual([])
  })

  it('refuses when nobody says where the wood was cut', async () => {
    const fields = { ...good(), reference: '27-201', origin: '' }
    await expectRefused(office, '/lots/receive', fields, { origin: /say that it is unknown/ })
  })

  it('refuses a source of another variety, naming both', async () => {
    const fields = { ...good(), reference: '27-201', origin: scene.otherSource }
    await expectRefused(office, '/lots/receive', fields, {
      origin: /Dale block is Negra Sola, not Alba Fina/,
    })
  })

  it('refuses a supplier or variety that is not registered, and a time to come', async () => {
    const fields = {
      ...good(),
      reference: '27-201',
      supplierId: scene.crew,
      varietyId: scene.supplier,
      when: '2027-02-10T14:00',
    }
    await expectRefused(
      office,
      '/lots/receive',
      fields,
      {
        supplierId: /not registered/,
        varietyId: /not registered/,
        when: /in the future/,
      },
      ['supplierId', 'varietyId'],
    )
  })
})
