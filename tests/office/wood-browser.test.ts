// The wood pages in a real browser: read by machine and by keyboard, narrow, wide and on paper.
import { afterAll, beforeAll, beforeEach, describe, expect, it } from 'vitest'
import type { Page } from 'playwright-core'
import { newId } from '../../api/platform/clock.ts'
import { checkPage } from '../browser/check-page.ts'
import { browserOrSkip, closeBrowser, serveApp } from '../browser/chromium.ts'
import type { Serving } from '../browser/chromium.ts'
import { pressOn, sidewaysOverflow, tabTo, typeInto } from '../browser/keyboard.ts'
import { officeApp } from '../office-app.ts'
import type { OfficeApp } from '../office-app.ts'
import { lastBody, recordedSoFar } from './form-answers.ts'
import { at, recordLot, recordScene, sceneNow } from './wood-scene.ts'
import type { Scene } from './wood-scene.ts'

let office: OfficeApp
let scene: Scene
let serving: Serving
let lotId = ''
const bathId = newId()
let page: Page

beforeAll(async () => {
  office = await officeApp(sceneNow)
  scene = await recordScene(office)
  serving = await serveApp(office.app)
  lotId = (await recordLot(office, scene, '27-001')).lotId
  const wet = await recordLot(office, scene, '27-002', { bundles: [], sticks: 150 })
  const room = { kind: 'place' as const, id: scene.room }
  const loose = { bundleId: null, unit: 'stick' as const }
  await office.record([
    {
      kind: 'bath.filled',
      occurredAt: at('2027-02-09T07:00'),
      body: {
        bathId,
        placeId: scene.tank,
        water: 'the well',
        waterTempC: 11.5,
        disinfectant: null,
        litres: 400,
      },
    },
    {
      kind: 'soak.began',
      occurredAt: at('2027-02-09T08:00'),
      body: { wood: { ...loose, lotId: wet.lotId, count: 60 }, from: room, bathId },
    },
    {
      kind: 'wood.handed_over',
      occurredAt: at('2027-02-10T07:00'),
      body: { wood: { ...loose, lotId, count: 40 }, from: room, toHolderId: scene.crew, note: '' },
    },
  ])
})
afterAll(async () => {
  await closeBrowser()
  await serving.stop()
  await office.drop()
})
beforeEach(async (ctx) => {
  const browser = await browserOrSkip(ctx)
  page = await browser.newPage({ viewport: { width: 1280, height: 800 } })
  return () => page.close()
})

const open = (path: string) => page.goto(`${serving.url}${path}`)

describe('every wood page', () => {
  const paths = () => [
    '/lots',
    '/lots/cut',
    '/lots/receive',
    '/lots/combine',
    `/lots/${lotId}`,
    `/lots/${lotId}/split`,
    `/lots/${lotId}/discard`,
    '/store',
    '/store/move',
    '/store/register',
    '/soak',
    '/soak/fill',
    `/soak/${bathId}`,
    `/soak/${bathId}/put-in`,
    `/soak/${bathId}/empty`,
    '/custody',
    '/custody/return',
    '/custody/holds',
    '/custody/holds/place',
  ]

  it('is valid HTML and keeps WCAG 2.2 AA', async () => {
    for (const path of paths()) {
      await open(path)
      await checkPage(page)
    }
  }, 120_000)

  it('does not stick out sideways, wide or narrow or on paper', async () => {
    for (const path of paths()) {
      await page.emulateMedia({ media: 'screen' })
      for (const [width, height] of [
        [1280, 800],
        [700, 900],
        [320, 640],
      ] as const) {
        await page.setViewportSize({ width, height })
        if (width === 1280) await open(path)
        expect(await sidewaysOverflow(page), `${path} at ${width}`).toBe(0)
      }
      await page.setViewportSize({ width: 690, height: 1000 })
      await page.emulateMedia({ media: 'print' })
      expect(await sidewaysOverflow(page), `${path} on paper`).toBe(0)
      expect(await page.locator('.frame').isVisible(), `${path} prints its menu`).toBe(false)
    }
  }, 120_000)
})

describe('by keyboard alone', () => {
  it('a lot is cut, and its page is reached', async () => {
    await open('/lots')
    await pressOn(page, 'a[href="/lots/cut"]')
    await typeInto(page, '[name=sourceId]', 'Hill')
    await typeInto(page, '[name=sticks]', '120')
    await typeInto(page, '[name=bundleCount]', '1')
    await typeInto(page, '[name=piecesEach]', '100')
    await typeInto(page, '[name=to]', 'Cold room')
    await pressOn(page, 'main button.main')
    expect(await page.locator('h1').innerText()).toBe('Lot 27-003')
    expect(await page.locator('[role=status]').innerText()).toContain('Saved: one entry')
    expect(await lastBody(office, 'lot.cut')).toMatchObject({ reference: '27-003', sticks: 120 })
  })

  it('a refused form tells why at the top, and each problem leads to its field', async () => {
    const before = await recordedSoFar(office)
    await open(`/lots/${lotId}/discard`)
    await tabTo(page, 'input[type=checkbox][name=wood]')
    await page.keyboard.press('Space')
    await typeInto(page, 'input[name^=sticks-]', '999')
    await typeInto(page, '[name=reason]', 'mould')
    await pressOn(page, 'main button.main')
    expect(await page.locator('[role=alert]').innerText()).toContain('not 999 sticks')
    await checkPage(page, { html: await page.content() })
    expect(await page.locator('[name=reason]').inputValue()).toBe('mould')
    await tabTo(page, '[role=alert] a')
    await page.keyboard.press('Enter')
    expect(await page.evaluate(() => document.activeElement?.getAttribute('aria-invalid'))).toBe(
      'true',
    )
    expect(await recordedSoFar(office)).toEqual(before)
  })

  it('lots are combined: the shares come first, then the lot', async () => {
    await recordLot(office, scene, '27-050', { bundles: [], sticks: 60 })
    await recordLot(office, scene, '27-051', { bundles: [], sticks: 40 })
    await open('/lots/combine?find=27-05')
    await tabTo(page, 'input[type=checkbox][value=all]')
    await page.keyboard.press('Space')
    await pressOn(page, 'button[value=shares]')
    expect(await page.locator('#field-shares').innerText()).toMatch(/27-050\s+Hill block\s+3\/5/)
    await typeInto(page, '[name=budsPerStick]', '6')
    await typeInto(page, '[name=to]', 'Cold room')
    await typeInto(page, '[name=reason]', 'same wood')
    await pressOn(page, 'button[value=save]')
    expect(await page.locator('h1').innerText()).toBe('Lot 27-052')
    expect(await page.locator('#lineage ~ .table').innerText()).toMatch(
      /27-050\s+Hill block\s+3\/5/,
    )
  })

  it('wood is taken out of its bath, and the bath can then be emptied', async () => {
    await open('/soak')
    await pressOn(page, `a[href="/soak/${bathId}/take-out"]`)
    await tabTo(page, 'input[type=checkbox][name=wood]')
    await page.keyboard.press('Space')
    await typeInto(page, '[name=to]', 'Grafting shed')
    await pressOn(page, 'main button.main')
    await pressOn(page, `a[href="/soak/${bathId}/empty"]`)
    await pressOn(page, 'main button.main')
    expect(await page.locator('main').innerText()).toContain('No bath stands filled')
  })
})
