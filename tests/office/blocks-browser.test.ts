// The pages of blocks, sources and the nursery in a real browser: valid, accessible, by keyboard.
import { mkdtemp, rm, writeFile } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import type { Page } from 'playwright-core'
import { afterAll, beforeAll, expect, it } from 'vitest'
import { readRowVines } from '../../api/grafting/read.ts'
import { checkPage } from '../browser/check-page.ts'
import { browserOrSkip, closeBrowser, serveApp } from '../browser/chromium.ts'
import type { Serving } from '../browser/chromium.ts'
import { pressOn, sidewaysOverflow, tabTo, typeInto } from '../browser/keyboard.ts'
import { check, crewPerson, graft, ids, layout, plan } from '../grafting/small-nursery.ts'
import { smallNursery } from '../grafting/small-nursery.ts'
import { officeApp } from '../office-app.ts'
import type { OfficeApp } from '../office-app.ts'

const seasonRow = ids.redSource
let office: OfficeApp
let serving: Serving
let folder = ''
let oldGraft = ''
beforeAll(async () => {
  office = await officeApp(new Date('2027-06-15T12:00:00Z'))
  await smallNursery(office)
  await crewPerson(office, 'Bruno Vale')
  await office.record([
    plan(),
    { kind: 'row.laid_out', body: layout({ rowId: seasonRow, label: '9', sequence: 9 }) },
  ])
  const [first] = await office.record([graft(50, '2026-04-10', { rowId: seasonRow })])
  oldGraft = first ?? ''
  await office.record([check(50, '2026-06-10', [[oldGraft, 2, 0, 0]], seasonRow)])
  const [second] = await office.record([
    graft(50, '2027-04-12', { rowId: seasonRow, lotId: ids.redLot }),
  ])
  await office.record([check(50, '2027-06-10', [[second ?? null, 1, 0, 1]], seasonRow)])
  serving = await serveApp(office.app)
  folder = await mkdtemp(join(tmpdir(), 'blocks-browser-'))
})
afterAll(async () => {
  await closeBrowser()
  await serving.stop()
  await office.drop()
  await rm(folder, { recursive: true, force: true })
})

const open = async (page: Page, path: string) => {
  const response = await page.goto(serving.url + path)
  expect(response?.status(), path).toBe(200)
}

it('each page is valid, keeps WCAG 2.2 AA, fits narrow windows, has no dead link', async (ctx) => {
  const page = await (await browserOrSkip(ctx)).newPage()
  const [row, block, source] = [ids.row1, ids.block, ids.source]
  const vine = `/blocks/vines/${seasonRow}/50`
  const paths = [
    '/blocks',
    '/blocks/new',
    '/blocks/plans',
    `/blocks/${block}`,
    `/blocks/${block}?season=2027`,
    `/blocks/${block}/edit`,
    `/blocks/${block}/import`,
    `/blocks/${block}/plan`,
    `/blocks/${block}/rows/new`,
    `/blocks/rows/${row}`,
    `/blocks/rows/${row}/edit`,
    `/blocks/rows/${row}/plan`,
    `/blocks/rows/${row}/graft`,
    `/blocks/rows/${row}/graft?lot=${ids.whiteLot}`,
    `/blocks/rows/${seasonRow}/take`,
    ...['', '/take', '/skipped', '/removed', '/planted'].map((what) => `${vine}${what}`),
    `/blocks/grafts/${oldGraft}/removed`,
    '/sources',
    '/sources/new',
    ...['', '/edit', '/standing', '/test'].map((what) => `/sources/${source}${what}`),
    '/nursery',
    '/nursery/profile',
    '/nursery/varieties',
    `/nursery/varieties/${ids.red}`,
    '/nursery/parties',
    `/nursery/parties/${ids.crew}`,
    '/nursery/policies',
    '/nursery/policies/soakMinHours',
    '/nursery/policies/classLadder',
    '/nursery/policies/contactHoldStops',
  ]
  const wide: string[] = []
  const links = new Set<string>()
  for (const path of paths) {
    await page.setViewportSize({ width: 1280, height: 900 })
    await open(page, path)
    await checkPage(page)
    const found = await page.$$eval('main a[href^="/"]', (anchors) =>
      anchors.map((anchor) => anchor.getAttribute('href') ?? ''),
    )
    for (const link of found) links.add(link)
    await page.setViewportSize({ width: 360, height: 800 })
    if ((await sidewaysOverflow(page)) > 0) wide.push(path)
  }
  expect(wide, 'pages wider than a window of 360 pixels').toEqual([])
  const dead: string[] = []
  for (const link of links) {
    // One vine of each row stands for all of them.
    if (/^\/blocks\/vines\/[^/]+\/(?!50$|1$)\d+$/.test(link)) continue
    const { status } = await office.app.request(link)
    if (status >= 400) dead.push(`${status} ${link}`)
  }
  expect(links.size).toBeGreaterThan(50)
  expect(dead, 'links that lead nowhere').toEqual([])
}, 240_000)

it('a form that comes back with problems is valid and accessible as well', async (ctx) => {
  const page = await (await browserOrSkip(ctx)).newPage()
  const forms = [
    `/blocks/rows/${ids.row1}/graft?lot=${ids.whiteLot}`,
    `/blocks/rows/${seasonRow}/take`,
    `/blocks/rows/${ids.row1}/plan`,
    `/blocks/${ids.block}/rows/new`,
    `/blocks/${ids.block}/plan`,
    '/sources/new',
    '/nursery/policies/classLadder',
  ]
  for (const path of forms) {
    await open(page, path)
    // Everything emptied, so that every check speaks; the browser's own checks stand aside.
    await page.evaluate(() => {
      for (const form of document.forms) form.noValidate = true
      for (const field of document.querySelectorAll<HTMLInputElement>(
        'main input:not([type=hidden],[type=checkbox]), main textarea',
      )) {
        field.value = ''
      }
      for (const box of document.querySelectorAll<HTMLInputElement>('main input[type=checkbox]')) {
        box.checked = false
      }
    })
    const [response] = await Promise.all([
      page.waitForResponse((answer) => answer.request().method() === 'POST'),
      page.click('main form[method=post] button.main'),
    ])
    expect(response.status(), path).toBe(422)
    await page.waitForSelector('.problems')
    await checkPage(page, { html: await response.text() })
    const targets = await page.$$eval('.problems a', (links) =>
      links.map((link) => document.querySelector(link.getAttribute('href') ?? '#') !== null),
    )
    expect(targets.length, path).toBeGreaterThan(0)
    expect(targets, `each problem of ${path} leads to its field`).not.toContain(false)
  }
})

it('a file is read in through the page: bad lines first, then the rows', async (ctx) => {
  const page = await (await browserOrSkip(ctx)).newPage()
  const bad = join(folder, 'bad.csv')
  const good = join(folder, 'good.csv')
  await writeFile(bad, 'row,to,missing,rootstock\n11,forty,,Duro 12\n12,30,31,Pie Nuevo\n')
  await writeFile(good, 'row,to,missing,rootstock\n11,40,3,Duro 12\n12,30,,Pie Nuevo\n')
  await open(page, `/blocks/${ids.block}/import`)
  await page.setInputFiles('#field-file', bad)
  const [refused] = await Promise.all([
    page.waitForResponse((answer) => answer.request().method() === 'POST'),
    page.click('text=Show what it says'),
  ])
  await page.waitForSelector('text=Send the corrected file')
  await checkPage(page, { html: await refused.text() })
  expect(await page.textContent('main')).toContain('line 2, to')
  await page.setInputFiles('#field-file', good)
  const [offered] = await Promise.all([
    page.waitForResponse((answer) => answer.request().method() === 'POST'),
    page.click('text=Show what it says'),
  ])
  await page.waitForSelector('#new-use-0')
  await checkPage(page, { html: await offered.text() })
  await page.selectOption('#new-use-0', 'rootstock')
  await page.click('text=Register the varieties and save the rows')
  await page.waitForURL(/saved=3/)
  expect(await page.textContent('main')).toContain('Saved: 3 entries')
})

it('a crew’s sheet is entered, then take counted, by keyboard alone', async (ctx) => {
  const page = await (await browserOrSkip(ctx)).newPage()
  await open(page, `/blocks/rows/${ids.row1}/graft?lot=${ids.whiteLot}`)
  await typeInto(page, '#field-skipped', '4 too thin; 17, 33 missing')
  await typeInto(page, '#field-personId', 'Bru')
  await tabTo(page, '#field-when')
  await page.keyboard.type('04102027')
  await page.keyboard.press('Tab')
  await page.keyboard.type('0900AM')
  await pressOn(page, 'main form[method=post] button.main')
  expect(page.url()).toContain('saved=60')

  await open(page, `/blocks/rows/${ids.row1}/take`)
  await typeInto(page, '#field-personId', 'Bru')
  const boxes = await page.$$eval('input[name^="growing-"]', (inputs) =>
    inputs.map((input) => input.getAttribute('name') ?? ''),
  )
  expect(boxes).toHaveLength(57)
  await tabTo(page, `[name="${boxes[0] ?? ''}"]`)
  // growing, callused, failed; then the next vine
  for (const typed of ['2', '', '', '1', '', '1', '', '2', '']) {
    await page.keyboard.type(typed)
    await page.keyboard.press('Tab')
  }
  await pressOn(page, 'main form[method=post] button.main')
  expect(page.url()).toContain('saved=3')
  const reading = await readRowVines(office.services.db, ids.row1, 2027)
  expect(reading?.counts).toMatchObject({ growing: 2, callused: 1, grafted: 54, skipped: 3 })
})
