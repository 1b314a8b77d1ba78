// Tonight's list in a real browser: asked for by keyboard, read by machine, printed, and true.
import { afterAll, beforeAll, beforeEach, describe, expect, it } from 'vitest'
import type { Page } from 'playwright-core'
import { newId } from '../../api/platform/clock.ts'
import { formatTagCode, makeTagCode } from '#trade/tag-code.ts'
import type { Draft } from '../../api/journal/desk.ts'
import { officeApp } from '../office-app.ts'
import type { OfficeApp } from '../office-app.ts'
import { at, recordLot, recordScene, sceneNow } from '../office/wood-scene.ts'
import type { Scene } from '../office/wood-scene.ts'
import { checkPage } from './check-page.ts'
import { browserOrSkip, closeBrowser, serveApp } from './chromium.ts'
import type { Serving } from './chromium.ts'
import { sidewaysOverflow } from './keyboard.ts'

let office: OfficeApp
let scene: Scene
let serving: Serving
let page: Page
const rowId = newId()
const tagCode = makeTagCode((count) => new Uint8Array(count).fill(7))
const lots = { old: '', young: '', held: '', dry: '' }

beforeAll(async () => {
  office = await officeApp(sceneNow)
  scene = await recordScene(office)
  const old = await recordLot(office, scene, '27-001', {}, at('2027-01-04T09:00'))
  lots.old = old.lotId
  lots.young = (await recordLot(office, scene, '27-002')).lotId
  lots.held = (await recordLot(office, scene, '27-003')).lotId
  lots.dry = (await recordLot(office, scene, '27-004')).lotId
  await office.record([...row(), ...overnight(), ...troubles(), ...tagged(old.bundleIds[0] ?? '')])
  serving = await serveApp(office.app)
})
afterAll(async () => {
  await closeBrowser()
  await serving.stop()
  await office.drop()
})
beforeEach(async (ctx) => {
  const browser = await browserOrSkip(ctx)
  page = await browser.newPage({ viewport: { width: 1280, height: 1000 } })
  return () => page.close()
})

/** A row of 100 vines, planned with 2 buds each, one of them skipped already. */
function row(): Draft[] {
  const blockId = newId()
  return [
    { kind: 'block.registered', body: { blockId, name: 'Lower bank', note: '' } },
    {
      kind: 'row.laid_out',
      body: {
        ...{ rowId, blockId, label: '1', sequence: 1, positionCount: 100, headAt: null },
        ...{ missing: [], sections: [] },
      },
    },
    {
      kind: 'row.planned',
      body: {
        ...{ rowId, fromPosition: 1, toPosition: 100, season: 2027, budsPerVine: 2 },
        ...{ varietyId: scene.variety, clone: '12', class: 'certified', method: 'chip bud' },
      },
    },
    {
      kind: 'vine.skipped',
      body: { vine: { rowId, position: 7 }, reason: 'trunk too thin' },
    },
  ]
}

/** This nursery soaks overnight: 8 to 14 hours. */
function overnight(): Draft[] {
  const set = (key: string, value: number): Draft => ({
    kind: 'policy.set',
    body: { key, value, source: 'own trials', effectiveFrom: '2027-01-01' },
  })
  return [set('soakMinHours', 8), set('soakMaxHours', 14)]
}

function troubles(): Draft[] {
  return [
    {
      kind: 'hold.placed',
      body: {
        holdId: newId(),
        on: { kind: 'lot', id: lots.held },
        agent: null,
        reason: 'mould seen',
      },
    },
    {
      kind: 'check.moisture',
      body: {
        ...{ lotId: lots.dry, bundleId: null, used: null, note: '' },
        measured: { by: 'oven', freshGrams: 100, dryGrams: 70 },
      },
    },
  ]
}

function tagged(bundleId: string): Draft[] {
  return [
    {
      kind: 'tag.printed',
      body: {
        ...{ printId: newId(), payload: 'field tag', form: 'roll', codes: [tagCode] },
        reprintReason: null,
      },
    },
    { kind: 'tag.bound', body: { code: tagCode, thing: { kind: 'bundle', id: bundleId } } },
  ]
}

const open = (path: string) => page.goto(`${serving.url}${path}`)
const asked = () =>
  `/soak/tonight?rows=${rowId}&ready=2027-02-11T06:30&into=2027-02-10T18:00&drain=30&overage=10`

describe('tonight’s list', () => {
  it('is asked for on the page and pulls the oldest fit wood, by tag, from its place', async () => {
    await open('/soak')
    await page.click('text=Tonight’s list')
    expect(await page.inputValue('[name=ready]')).toBe('2027-02-11T06:30')
    expect(await page.inputValue('[name=into]')).toBe('2027-02-10T18:00')
    await page.check(`[name=rows][value="${rowId}"]`)
    await page.fill('[name=overage]', '10')
    await page.fill('[name=buds]', '3')
    await Promise.all([page.waitForNavigation(), page.click('text=Work out the list')])
    const words = (await page.innerText('main')).replaceAll(/\s+/g, ' ')
    // 99 vines of 3 buds are 297, with a tenth more 326.7: 327 buds, on sticks of 6: 55 sticks.
    expect(words).toContain('Into the water by 2027-02-10 18:00, out by 2027-02-11 06:00: 12 hours')
    expect(words).toContain('Into Tank 1 by 2027-02-10 18:00')
    expect(words).toContain('2 to pull: 55 sticks, 330 buds')
    expect(words).toContain('Tank 1 stands empty. Clean it, fill it')
    await expectPulled()
    await checkPage(page)
    await picture('tonight')
  })

  it('names held and dried wood as passed over, with the reason', async () => {
    await open(asked())
    const passed = await page.innerText('section[aria-labelledby=passed-over]')
    expect(passed).toMatch(/27-003[^]*The lot is on hold/)
    expect(passed).toMatch(/27-004[^]*Too dry: 30 % water by fresh weight/)
    expect(await page.innerText('section.sheet')).not.toMatch(/27-003|27-004/)
  })

  it('says plainly what it is short of', async () => {
    await open(`${asked()}&buds=20`)
    const words = await page.innerText('main')
    // 99 × 20 = 1,980 buds; with a tenth more 2,178; two fit lots of 240 sticks of 6 hold 2,880.
    expect(words).not.toMatch(/Short of \d/)
    await open(asked().replace('T06:30', 'T01:00').replace('2027-02-11', '2027-02-10'))
    expect(await page.innerText('main')).toContain('lies in the past')
    await open(`/soak/tonight?rows=${rowId}&ready=2027-02-10T15:00`)
    const late = (await page.innerText('main')).replaceAll(/\s+/g, ' ')
    expect(late).toContain('Too late to soak for 8 hours by then')
    expect(late).toContain('Short of 198 buds of Alba Fina, clone 12, certified or stricter')
  })

  it('is the same for a phone, in the machine API', async () => {
    const times = 'readyAt=2027-02-11T05:30:00Z&intoWaterAt=2027-02-10T17:00:00Z'
    const response = await office.app.request(`/api/tonight?rowId=${rowId}&${times}`)
    expect(response.status).toBe(200)
    const told = (await response.json()) as Record<string, unknown>
    // 198 buds and the policies' half as many again are 297, on sticks of 6: 50 sticks.
    expect(told).toMatchObject({
      intoWaterAt: '2027-02-10T17:00:00.000Z',
      outOfWaterAt: '2027-02-11T05:00:00.000Z',
      soakHours: 12,
      problems: [],
      needs: [{ rowIds: [rowId], vines: 99, budsToSet: 198, budsWanted: 297, shortage: 0 }],
      lines: [
        { lotId: lots.old, bundleId: null, sticks: 40, isWhole: true, tagCode: null },
        { lotId: lots.old, bundleNumber: 1, sticks: 10, isWhole: false, tagCode },
      ],
    })
  })

  it('prints with tall lines and without the form, and sticks out nowhere', async () => {
    await open(asked())
    await page.emulateMedia({ media: 'print' })
    expect(await page.isVisible('form.on-screen')).toBe(false)
    const box = await page.locator('tr.tall').first().boundingBox()
    expect(box?.height).toBeGreaterThan(48)
    expect(await page.innerText('main')).toContain('Soak water spreads wood fungi')
    await page.setViewportSize({ width: 690, height: 1000 })
    expect(await sidewaysOverflow(page)).toBe(0)
    await picture('tonight-print')
    await page.emulateMedia({ media: 'screen' })
    await page.setViewportSize({ width: 360, height: 800 })
    expect(await sidewaysOverflow(page)).toBe(0)
  })
})

/** The lines of the sheet: loose wood of the oldest lot, then its first bundle by its tag. */
async function expectPulled(): Promise<void> {
  const rows = await page.locator('tr.tall').allInnerTexts()
  expect(rows).toHaveLength(2)
  expect(rows[0]).toMatch(/no tag\s+27-001, loose[^]*Cold room\s+all 40/)
  expect(rows[1]).toContain(formatTagCode(tagCode))
  expect(rows[1]).toMatch(/27-001, bundle 1[^]*Cold room\s+15 of 100/)
}

/** A picture to look at, when CANEMARK_PICTURES names a folder. */
async function picture(name: string): Promise<void> {
  const folder = process.env.CANEMARK_PICTURES
  if (folder === undefined || folder === '') return
  await page.screenshot({ path: `${folder}/${name}.png`, fullPage: true })
}
