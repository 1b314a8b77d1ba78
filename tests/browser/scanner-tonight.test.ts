// Tonight's list on the phone: fetched, read without a network, ticked off by the real entries.
import { afterAll, describe, expect, it } from 'vitest'
import { recordAtDesk } from '../../api/journal/desk.ts'
import { newId } from '../../api/platform/clock.ts'
import { freshDatabase } from '../database.ts'
import { checkScreen } from './check-screen.ts'
import { browserOrSkip, closeBrowser } from './chromium.ts'
import { field, tags } from './field-nursery.ts'
import { FieldOffice } from './field-office.ts'
import { FieldPhone } from './field-phone.ts'

afterAll(closeBrowser)

const slow = { timeout: 600_000 }
const bathId = newId()

/** A row for the variety whose bundle lies in the cold room, 40 vines, and a fresh bath. */
async function planTheMorning(office: FieldOffice): Promise<void> {
  const { db, clock, deskDeviceId } = office.services
  const now = clock.now()
  const desk = { deviceId: deskDeviceId, personId: office.grafterId, now }
  const rows = [now.getFullYear(), now.getFullYear() + 1].map((season) => ({
    kind: 'row.planned' as const,
    body: {
      ...{ rowId: field.otherRow, fromPosition: 1, toPosition: 40, season },
      ...{ varietyId: field.dunmerle, clone: '4', class: null, method: 'chip bud' },
      budsPerVine: 2,
    },
  }))
  const filled = { bathId, placeId: field.tank, water: 'well', waterTempC: 12 }
  const bath = {
    kind: 'bath.filled' as const,
    body: { ...filled, disinfectant: null, litres: 400 },
  }
  await recordAtDesk(db, desk, [...rows, bath])
}

/** Every button is large enough for a gloved thumb. */
async function expectLargeTargets(phone: FieldPhone): Promise<void> {
  const small = await phone.page.locator('button:visible').evaluateAll((buttons) =>
    buttons.flatMap((button) => {
      const { width, height } = button.getBoundingClientRect()
      return Math.min(width, height) < 60 ? [button.textContent] : []
    }),
  )
  expect(small).toEqual([])
}

async function toTonight(phone: FieldPhone): Promise<void> {
  await phone.press('scan.without')
  await phone.press('tonight.title')
}

describe('tonight’s list on the phone', () => {
  it.for(['en', 'es'] as const)('leads to the soak itself, in %s', slow, async (language, ctx) => {
    const browser = await browserOrSkip(ctx)
    const office = await FieldOffice.open(await freshDatabase())
    await planTheMorning(office)
    const locale = language === 'es' ? 'es-ES' : 'en-GB'
    const context = await browser.newContext({ locale, viewport: { width: 360, height: 740 } })
    ctx.onTestFinished(async () => {
      await context.close()
      await office.close()
    })
    const page = await context.newPage()
    page.setDefaultTimeout(60_000)
    const phone = new FieldPhone(page, office, language)
    await phone.enrol()
    await phone.allSent()

    await toTonight(phone)
    await phone.press('row.name', { row: '4', block: 'Upper' })
    await phone.press('row.name', { row: '5', block: 'Upper' })
    await phone.see('tonight.chosen', { count: 2 })
    await checkScreen(phone, 'tonight-rows')
    await expectLargeTargets(phone)
    await phone.press('tonight.fetch')
    await phone.see('tonight.left', { count: 1 })
    await phone.see('tonight.short', { variety: 'Ruvello 4', count: 114 })
    // 40 vines of 2 buds, half as much again (the policy’s share), 6 buds on a stick.
    const twenty = phone.words('count.sticks', { count: 20 })
    await phone.see('tonight.part', { what: twenty })
    await phone.see('tonight.to', { from: 'Cold room 1', tank: 'Tank east' })
    await checkScreen(phone, 'tonight-list')
    await expectLargeTargets(phone)

    await office.stop()
    await phone.press('tonight.again')
    await phone.press('tonight.fetch')
    await phone.see('tonight.noNetwork')
    await phone.press('part.back')
    await phone.press('tonight.scan')
    await phone.scan(tags.row)
    await phone.see('basket.notWood')
    await phone.scan(tags.bundle)
    await phone.see('tonight.notOnList')
    await phone.scan(tags.otherBundle)
    await phone.see('bathIn.title')
    await phone.press('part.next')
    await phone.press('part.save')
    await phone.see('tonight.allIn')
    await checkScreen(phone, 'tonight-done')
    await page.reload()
    await phone.atScan()
    await toTonight(phone)
    await phone.see('tonight.allIn')

    await office.start()
    await phone.press('part.back')
    await expect
      .poll(async () => (await office.fromPhones()).map(({ kind }) => kind), { timeout: 240_000 })
      .toEqual(['soak.began'])
    const [soak] = await office.fromPhones()
    expect(soak?.body).toEqual({
      wood: { lotId: field.otherLot, bundleId: field.otherBundle, unit: 'stick', count: 20 },
      from: { kind: 'place', id: field.room },
      bathId,
    })
  })
})
