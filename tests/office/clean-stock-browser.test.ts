// The pages of schemes, source files and the audit of custody in a real browser, wide and narrow.
import { join } from 'node:path'
import { afterAll, beforeAll, expect, it } from 'vitest'
import { checkPage } from '../browser/check-page.ts'
import { browserOrSkip, closeBrowser, serveApp } from '../browser/chromium.ts'
import type { Serving } from '../browser/chromium.ts'
import { sidewaysOverflow } from '../browser/keyboard.ts'
import { ids, smallNursery } from '../grafting/small-nursery.ts'
import { officeApp } from '../office-app.ts'
import type { OfficeApp } from '../office-app.ts'

let office: OfficeApp
let serving: Serving
beforeAll(async () => {
  office = await officeApp(new Date('2027-06-15T12:00:00Z'))
  await smallNursery(office)
  await office.record([
    {
      kind: 'source.inspected',
      body: {
        sourceId: ids.source,
        kind: 'isolation',
        inspectedOn: '2027-05-20',
        partyId: null,
        result: 'in order',
        isolationMetres: 9.5,
        nearby: 'an old block of another owner beyond the track',
        note: '',
      },
    },
  ])
  serving = await serveApp(office.app)
})
afterAll(async () => {
  await closeBrowser()
  await serving.stop()
  await office.drop()
})

/** Where pictures of the pages are put, when somebody wants to look at them. */
const pictures = process.env.CANEMARK_PICTURES

it('every page is valid HTML, keeps WCAG 2.2 AA, and fits a phone’s width', async (ctx) => {
  const browser = await browserOrSkip(ctx)
  const page = await browser.newPage({ viewport: { width: 1280, height: 900 } })
  const paths = [
    '/sources/schemes',
    '/sources/import',
    `/sources/${ids.source}`,
    `/sources/${ids.source}/inspection`,
    '/custody/audit?season=2027',
    `/custody/audit/${ids.whiteLot}`,
  ]
  for (const [nr, path] of paths.entries()) {
    await page.setViewportSize({ width: 1280, height: 900 })
    await page.goto(`${serving.url}${path}`)
    await checkPage(page)
    const shot = async (name: string) => {
      if (pictures === undefined) return
      await page.screenshot({ path: join(pictures, `${nr}-${name}.png`), fullPage: true })
    }
    await shot('wide')
    await page.setViewportSize({ width: 380, height: 800 })
    expect(await sidewaysOverflow(page), path).toBe(0)
    await shot('narrow')
  }
}, 180_000)
