// Every job of the phone, once in English and once in Spanish, against a real server.
import { randomFillSync } from 'node:crypto'
import { PNG } from 'pngjs'
import { afterAll, describe, expect, it } from 'vitest'
import type { Language } from '../../scanner/phone.ts'
import { readWithZxing } from '../labels/read-labels.ts'
import { freshDatabase } from '../database.ts'
import { checkScreen } from './check-screen.ts'
import { browserOrSkip, closeBrowser } from './chromium.ts'
import { tags } from './field-nursery.ts'
import { FieldOffice, HELPER } from './field-office.ts'
import { FieldPhone } from './field-phone.ts'

afterAll(closeBrowser)

const slow = { timeout: 600_000 }
const BETWEEN_TAPS_MS = 520

/** What the walk below writes, kind by kind. */
const written: Readonly<Record<string, number>> = {
  'lot.cut': 1,
  'tag.bound': 3,
  'stay.began': 0,
  'wood.returned': 1,
  'bath.filled': 1,
  'soak.began': 1,
  'soak.ended': 1,
  'bath.emptied': 1,
  'wood.handed_over': 1,
  'wood.accepted': 1,
  'wood.discarded': 1,
  'check.viability': 1,
  'check.moisture': 1,
  'graft.made': 2,
  'tool.disinfected': 2,
  'tie.released': 2,
  'take.checked': 2,
  'vine.skipped': 1,
}

describe('every job is done by scanning and tapping, and arrives at the server', () => {
  it.for(['en', 'es'] as const)('in the language %s', slow, async (language, ctx) => {
    const browser = await browserOrSkip(ctx)
    const office = await FieldOffice.open(await freshDatabase())
    const locale = language === 'es' ? 'es-ES' : 'en-GB'
    const context = await browser.newContext({ locale, viewport: { width: 360, height: 740 } })
    ctx.onTestFinished(async () => {
      await context.close()
      await office.close()
    })
    const phone = await enrolledPhone(await context.newPage(), office, language)
    await cut(phone)
    await soak(phone)
    await handOver(phone)
    await checkWood(phone)
    await graft(phone)
    await disinfect(phone)
    await lookAgain(phone)
    await phone.allSent()
    const kinds = (await office.fromPhones()).map(({ kind }) => kind)
    const counted = Object.fromEntries(
      Object.keys(written).map((kind) => [kind, kinds.filter((one) => one === kind).length]),
    )
    expect(counted).toEqual(written)
    expect(kinds).toHaveLength(Object.values(written).reduce((sum, count) => sum + count, 0))
    await expect.poll(() => office.photoCount(), { timeout: 60_000 }).toBe(1)
  })
})

type Page = ConstructorParameters<typeof FieldPhone>[0]

async function enrolledPhone(page: Page, office: FieldOffice, language: Language) {
  page.setDefaultTimeout(60_000)
  const phone = new FieldPhone(page, office, language)
  await phone.enrol()
  return phone
}

/** A photo as large as a camera makes them: every pixel is noise, so nothing packs it smaller. */
function cameraPhoto(): { name: string; mimeType: string; buffer: Buffer } {
  const png = new PNG({ width: 2000, height: 1500 })
  randomFillSync(png.data)
  const buffer = PNG.sync.write(png, { colorType: 2, deflateLevel: 1 })
  return { name: 'vine.png', mimeType: 'image/png', buffer }
}

const [first = '', second = '', third = ''] = tags.free

/** 250 sticks in three bundles; tags that are on something already are refused in words. */
async function cut(phone: FieldPhone): Promise<void> {
  await phone.scan(tags.source)
  await phone.press('cut.title')
  await phone.press('cut.title')
  await phone.press('cut.scion')
  await phone.type(250)
  await checkScreen(phone, 'cut-sticks')
  await phone.press('part.next')
  for (const buds of [6, 7, 6]) await phone.pressText(String(buds))
  await phone.see('cut.mean', { count: 6 })
  await checkScreen(phone, 'cut-sample')
  await phone.press('part.next')
  await phone.type(100)
  await phone.press('part.next')
  await phone.scan(first)
  await phone.see('cut.looseLeft', { sticks: phone.words('count.sticks', { count: 150 }) })
  await phone.scan(first)
  await phone.see('cut.twice')
  await phone.scan(tags.row)
  await phone.page.getByRole('alert').filter({ hasText: '4, Upper' }).waitFor()
  await checkScreen(phone, 'cut-tags')
  await phone.scan(second)
  await phone.see('cut.looseLeft', { sticks: phone.words('count.sticks', { count: 50 }) })
  await phone.scan(third)
  await phone.see('cut.allTied')
  await phone.press('part.next')
  await phone.press('who.me')
  await checkScreen(phone, 'cut-summary')
  await phone.press('cut.save')
  await phone.atScan()
}

/** Brought into store, into a fresh bath, out of it again; the bath emptied. */
async function soak(phone: FieldPhone): Promise<void> {
  await phone.scan(first)
  await phone.press('move.title')
  await checkScreen(phone, 'wood-list')
  await phone.press('part.next')
  await checkScreen(phone, 'which-place')
  await phone.pressText('Cold room 1')
  await phone.atScan()
  await phone.scan(tags.tank)
  await phone.press('fill.title')
  await phone.press('said.water.well')
  await phone.press('fill.nothing')
  await phone.type(12)
  await checkScreen(phone, 'fill-temperature')
  await phone.press('part.next')
  await phone.press('fill.skip')
  await phone.atScan()
  await phone.scan(first)
  await phone.press('bathIn.title')
  await phone.press('part.next')
  await phone.see('bathIn.where')
  await checkScreen(phone, 'which-bath')
  await phone.scan(tags.tank)
  await phone.atScan()
  await phone.scan(tags.tank)
  await phone.press('bathOut.title')
  await phone.press('part.next')
  await checkScreen(phone, 'out-of-bath')
  await phone.press('who.me')
  await phone.atScan()
  await phone.scan(tags.tank)
  await phone.press('empty.title')
  await checkScreen(phone, 'empty-bath')
  await phone.press('empty.yes')
  await phone.atScan()
}

/** One phone shows a symbol; what a decoder reads from the screen is taken over with a count. */
async function handOver(phone: FieldPhone): Promise<void> {
  await phone.scan(first)
  await phone.press('give.title')
  await phone.press('part.next')
  await checkScreen(phone, 'who-gets-it')
  await phone.pressText(HELPER)
  await phone.see('give.shown')
  await checkScreen(phone, 'handover-symbol')
  const picture = await phone.page.locator('.symbol').screenshot()
  const [symbol] = await readWithZxing(picture)
  await phone.press('row.finish')
  await phone.atScan()
  await phone.scan(symbol?.text ?? '')
  await phone.press('accept.title')
  await checkScreen(phone, 'take-over')
  await phone.press('accept.other')
  await phone.type(98)
  const counts = [100, 98].map((count) => phone.words('count.sticks', { count }))
  await phone.see('accept.differs', { said: counts[0] ?? '', counted: counts[1] ?? '' })
  await phone.press('accept.save', { counted: counts[1] ?? '' })
  await phone.atScan()
}

/** Living buds, moisture, and what has dried thrown away. */
async function checkWood(phone: FieldPhone): Promise<void> {
  await phone.scan(third)
  await phone.press('viability.title')
  await checkScreen(phone, 'viability-how')
  await phone.press('viability.cutBud')
  await phone.type(20)
  await phone.press('part.next')
  await phone.see('viability.live')
  await phone.type(21)
  await phone.see('viability.moreLive')
  await phone.press('part.erase')
  await phone.type(0)
  await phone.press('part.next')
  await phone.press('sample.none')
  await phone.atScan()
  await phone.scan(third)
  await phone.press('moisture.title')
  await phone.press('moisture.oven')
  await phone.type(125)
  await checkScreen(phone, 'moisture-fresh')
  await phone.press('part.next')
  await phone.see('moisture.dry')
  await phone.type(61)
  await phone.press('part.next')
  await phone.atScan()
  await phone.scan(second)
  await phone.press('discard.title')
  await phone.press('part.next')
  await checkScreen(phone, 'discard-why')
  await phone.press('said.discard.dry')
  await phone.atScan()
}

/** Two vines; a second tap at once writes nothing, another lot is said before it is used. */
async function graft(phone: FieldPhone): Promise<void> {
  await phone.scan(tags.bundle)
  await phone.press('graft.title')
  await phone.scan(tags.row)
  await phone.press('row.fromHead')
  await phone.press('said.method.chip')
  await checkScreen(phone, 'graft-tie')
  await phone.press('said.tie.rubber')
  await phone.atVine(1)
  await phone.press('count.buds', { count: 2 })
  await phone.atVine(2)
  await phone.press('count.buds', { count: 2 })
  await phone.see('row.doubleTap')
  await checkScreen(phone, 'graft-double-tap')
  await phone.press('row.doubleNot')
  await phone.page.waitForTimeout(BETWEEN_TAPS_MS)
  await phone.press('count.buds', { count: 1 })
  await phone.atVine(3)
  await phone.page.waitForTimeout(BETWEEN_TAPS_MS)
  await phone.press('graft.disinfect')
  await checkScreen(phone, 'disinfect-with')
  await phone.press('said.blade.alcohol')
  await phone.see('tool.saved')
  await phone.press('row.undo')
  await checkScreen(phone, 'undo-which')
  await phone.press('row.back')
  await phone.press('row.more')
  await checkScreen(phone, 'graft-more')
  await phone.press('graft.changeBundle')
  await phone.scan(tags.otherBundle)
  await phone.see('graft.anotherLot')
  await checkScreen(phone, 'another-lot')
  const otherLot = '26-015 Dunmerle'
  await phone.press('graft.anotherLot.yes', { new: otherLot })
  await phone.press('graft.stop.yes')
  await phone.atVine(3)
  await phone.press('row.more')
  await phone.press('row.finish')
  await phone.atScan()
}

async function disinfect(phone: FieldPhone): Promise<void> {
  await phone.scan(tags.knife)
  await phone.press('tool.takeTitle')
  await phone.press('tool.takeTitle')
  await phone.atScan()
  await phone.scan(tags.knife)
  await phone.press('tool.title')
  await checkScreen(phone, 'disinfect')
  const what = phone.words('said.blade.alcohol')
  await phone.press('tool.again', { what })
  await phone.atScan()
}

/** Ties released, take checked, a vine skipped on its own. */
async function lookAgain(phone: FieldPhone): Promise<void> {
  await phone.scan(tags.row)
  await phone.press('tie.title')
  await phone.press('row.fromHead')
  await phone.atVine(1)
  await checkScreen(phone, 'tie')
  await phone.press('tie.release')
  await phone.atVine(2)
  await phone.page.waitForTimeout(BETWEEN_TAPS_MS)
  await phone.press('tie.release')
  await phone.see('row.end')
  await phone.press('row.finish')
  await phone.atScan()
  await phone.scan(tags.row)
  await phone.press('take.title')
  await phone.press('row.fromHead')
  await phone.atVine(1)
  await checkScreen(phone, 'take')
  await phone.press('take.add')
  await phone.press('take.shoot')
  await phone.type(140)
  await checkScreen(phone, 'take-shoot')
  await phone.press('part.next')
  await phone.page.locator('input[type=file]').setInputFiles(cameraPhoto())
  const taken = phone.page.getByRole('button', { name: phone.words('take.photo'), pressed: true })
  await taken.waitFor()
  await phone.press('take.budByBud')
  await phone.atVine(1)
  await phone.page.locator('.fates').getByText(phone.words('take.growing')).first().click()
  await phone.page.locator('.fates').getByText(phone.words('take.failed')).last().click()
  await phone.atVine(2)
  expect(await phone.page.getByRole('alert').count(), 'the photo was kept').toBe(0)
  await phone.page.waitForTimeout(BETWEEN_TAPS_MS)
  await phone.page.locator('.fates').getByText(phone.words('take.callused')).first().click()
  await phone.see('row.end')
  await checkScreen(phone, 'row-end')
  await phone.press('row.finish')
  await phone.atScan()
  await phone.scan(tags.row)
  await phone.press('skip.title')
  await phone.type(40)
  await phone.press('part.next')
  await phone.press('said.skip.dead')
  await phone.atScan()
}
