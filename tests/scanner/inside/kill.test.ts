// The browser's process is killed in the middle of taps, and started again without a network.
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { findChromium } from '../../browser/chromium.ts'
import { BrowserProcess } from './browser-process.ts'
import { blockDraft, gapless, PhoneDriver } from './phone-driver.ts'
import type { PageGlobals } from './phone-driver.ts'
import { PhoneOffice } from './phone-office.ts'

let office: PhoneOffice
beforeAll(async () => {
  office = await PhoneOffice.open()
})
afterAll(() => office.close())

const rounds = 3

describe('invariant 1: what the person was told is written down', () => {
  it('survives the death of the browser, and reaches the server once', async (ctx) => {
    const program = findChromium()
    if (program === null) return ctx.skip('no Chromium found')
    const browser = await BrowserProcess.make(program)
    const confirmed: string[] = []
    const first = await PhoneDriver.open(await browser.start(), office)
    const deviceId = await first.enrol()
    await first.page.evaluate(() => navigator.serviceWorker.ready.then(() => undefined))
    await office.stop()
    await tapUntilKilled(first, browser, confirmed)
    for (let round = 1; round < rounds; round += 1) {
      // No server: the app itself comes from the phone.
      const again = await PhoneDriver.open(await browser.start(), office)
      expect((await again.unsent()).count).toBeGreaterThanOrEqual(confirmed.length)
      await tapUntilKilled(again, browser, confirmed)
    }
    await office.start()
    const last = await PhoneDriver.open(await browser.start(), office)
    expect((await last.sync()).count).toBe(0)
    const rows = await office.journal(deviceId)
    expect(rows.map((row) => row.device_counter)).toEqual(gapless(rows))
    expect(rows.map(({ id }) => id)).toEqual(expect.arrayContaining(confirmed))
    await browser.close()
  })
})

/** Taps without a pause until twenty more are confirmed, then kills the browser between two. */
async function tapUntilKilled(
  phone: PhoneDriver,
  browser: BrowserProcess,
  confirmed: string[],
): Promise<void> {
  const enough = confirmed.length + 20
  await phone.page.exposeFunction('confirmed', (id: string) => void confirmed.push(id))
  await phone.page.evaluate((draft) => {
    const { phone, confirmed } = globalThis as unknown as PageGlobals & {
      confirmed: (id: string) => void
    }
    const tap = async (): Promise<void> => {
      confirmed((await phone.write(draft)).id)
      return tap()
    }
    void tap()
  }, blockDraft(1))
  await expect.poll(() => confirmed.length, { timeout: 30_000 }).toBeGreaterThan(enough)
  await browser.kill()
}
