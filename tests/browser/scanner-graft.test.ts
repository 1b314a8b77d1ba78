// A row grafted on a phone without a network, through a killed browser: nothing lost or doubled.
import { mkdtemp, rm } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, expect, it } from 'vitest'
import { freshDatabase } from '../database.ts'
import { checkScreen } from './check-screen.ts'
import { browserOrSkip, closeBrowser } from './chromium.ts'
import { field, missing, tags } from './field-nursery.ts'
import { FieldOffice } from './field-office.ts'
import type { Journalled } from './field-office.ts'
import { FieldPhone } from './field-phone.ts'
import { OwnChromium } from './own-chromium.ts'
import { writeTagVideo } from './tag-video.ts'
import { waitInPage } from './wait-in-page.ts'

afterAll(closeBrowser)

const slow = { timeout: 600_000 }
/** Vines passed over by hand. */
const skipped = [4, 17, 31]
/** The vine at which a wrong tap is taken back; the last vine before the browser is killed. */
const undoneAt = 20
const killedAt = 33
/** Longer than a second tap counts as the same one, as a real vine takes minutes. */
const BETWEEN_TAPS_MS = 520

it(
  'invariant 1: a row grafted offline, through a kill, is at the server exactly once',
  slow,
  async (ctx) => {
    await browserOrSkip(ctx)
    const folder = await mkdtemp(join(tmpdir(), 'canemark-phone-'))
    const video = join(folder, 'tag.y4m')
    writeTagVideo(video, tags.bundle)
    const office = await FieldOffice.open(await freshDatabase())
    let chromium = await OwnChromium.start(join(folder, 'profile'), video)
    ctx.onTestFinished(async () => {
      await chromium.kill()
      await office.close()
      await rm(folder, { recursive: true, force: true })
    })
    let phone = await newPhone(chromium, office)
    await phone.enrol()
    await isKeptForOffline(phone)
    await office.stop()

    await beginRow(phone)
    await graft(phone, 1, killedAt)
    await phone.atVine(killedAt + 1)
    await chromium.kill()

    chromium = await OwnChromium.start(join(folder, 'profile'), video)
    phone = await newPhone(chromium, office)
    await phone.open()
    await phone.atVine(killedAt + 1)
    await checkScreen(phone, 'graft-taken-up')
    await graft(phone, killedAt + 1, 60)
    await phone.see('row.end')
    await phone.press('row.finish')
    expect(await office.fromPhones()).toEqual([])
    await office.start()
    await phone.allSent()

    expectRow(await office.fromPhones())
    const trace = await office.asAuditor(field.lot, `/trace/forward/lot/${field.lot}`)
    expect(trace).toContain(`${vines().length} vines in 1 row`)
  },
)

it(
  'wood that is out of the water too long is said large in the middle of a row',
  slow,
  async (ctx) => {
    const browser = await browserOrSkip(ctx)
    const office = await FieldOffice.open(await freshDatabase())
    const context = await browser.newContext({ viewport: { width: 360, height: 740 } })
    ctx.onTestFinished(async () => {
      await context.close()
      await office.close()
    })
    const page = await context.newPage()
    page.setDefaultTimeout(60_000)
    const phone = new FieldPhone(page, office)
    await phone.enrol()
    await page.clock.install()
    await phone.scan(tags.bundle)
    await phone.press('graft.title')
    await phone.scan(tags.row)
    await phone.press('row.fromHead')
    await phone.press('said.method.chip')
    await phone.press('said.tie.rubber')
    await phone.press('count.buds', { count: 2 })
    await phone.atVine(2)
    // One hour when it was handed over; the default policy asks for care after 24.
    await page.clock.fastForward('25:00:00')
    await phone.see('graft.caution.yes')
    expect(await page.locator('main').innerText()).toContain('Out of water and out of the cold')
    expect(await page.locator('.vine-number').count()).toBe(0)
    await checkScreen(phone, 'graft-caution')
    await phone.press('graft.caution.yes')
    await phone.atVine(2)
  },
)

async function newPhone(chromium: OwnChromium, office: FieldOffice): Promise<FieldPhone> {
  const page = await chromium.context.newPage()
  await page.setViewportSize({ width: 360, height: 740 })
  page.setDefaultTimeout(60_000)
  return new FieldPhone(page, office)
}

/** The service worker has the app, and the records are on the phone. */
async function isKeptForOffline(phone: FieldPhone): Promise<void> {
  await waitInPage(phone.page, async () => {
    const { active } = await navigator.serviceWorker.ready
    return active?.state === 'activated'
  })
}

/** The camera reads the bundle's tag; the row is found by its block. */
async function beginRow(phone: FieldPhone): Promise<void> {
  await phone.seeText('26-014')
  await checkScreen(phone, 'scanned-bundle')
  await phone.press('graft.title')
  await phone.pressText('Upper')
  await phone.pressText('4')
  await checkScreen(phone, 'graft-begin')
  await phone.press('row.fromHead')
  await phone.press('said.method.chip')
  await phone.press('said.tie.rubber')
  await phone.atVine(1)
  await checkScreen(phone, 'graft-vine')
}

/** Every vine that stands from `from` to `to`: two buds, but for those passed over. */
async function graft(phone: FieldPhone, from: number, to: number): Promise<void> {
  for (let vine = from; vine <= to; vine++) {
    if (missing.includes(vine)) continue
    await phone.atVine(vine)
    await phone.page.waitForTimeout(BETWEEN_TAPS_MS)
    if (skipped.includes(vine)) {
      await phone.press('graft.skip')
      await phone.press('said.skip.thin')
      continue
    }
    if (vine === undoneAt) await tapAndTakeBack(phone)
    await phone.press('count.buds', { count: 2 })
  }
}

/** One bud by mistake, taken back with its reason; the vine is in front again. */
async function tapAndTakeBack(phone: FieldPhone): Promise<void> {
  await phone.press('count.buds', { count: 1 })
  await phone.atVine(undoneAt + 3)
  await phone.press('row.undo')
  const buds = phone.words('count.buds', { count: 1 })
  await phone.press('graft.workGraft', { vine: undoneAt, buds })
  await phone.press('said.undo.count')
  await phone.atVine(undoneAt)
  await phone.page.waitForTimeout(BETWEEN_TAPS_MS)
}

function vines(): number[] {
  const all = Array.from({ length: 60 }, (_, nr) => nr + 1)
  return all.filter((vine) => ![...missing, ...skipped].includes(vine))
}

function expectRow(entries: Journalled[]): void {
  expect(entries.map((entry) => entry.deviceCounter)).toEqual(entries.map((_, nr) => nr + 1))
  expect(new Set(entries.map(({ id }) => id)).size).toBe(entries.length)
  const withdrawn = entries
    .filter(({ kind }) => kind === 'entry.withdrawn')
    .map(({ body }) => body.entryId)
  expect(withdrawn).toHaveLength(1)
  const positions = (kind: string, isWithdrawn: boolean) =>
    entries
      .filter((entry) => entry.kind === kind && withdrawn.includes(entry.id) === isWithdrawn)
      .map(({ body }) => (body.vine as { position: number }).position)
  expect(positions('graft.made', false)).toEqual(vines())
  expect(positions('graft.made', true)).toEqual([undoneAt])
  expect(positions('vine.skipped', false)).toEqual(skipped)
  expect(entries).toHaveLength(vines().length + skipped.length + 2)
  const grafts = entries.filter(({ kind }) => kind === 'graft.made')
  expect(
    grafts.every(({ body }) => body.lotId === field.lot && body.bundleId === field.bundle),
  ).toBe(true)
}
