// The app opens without a network, changes version only when nothing waits, and never by halves.
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, it } from 'vitest'
import type { BrowserContext } from 'playwright-core'
import type { BuiltScanner } from '../../../scanner/build.ts'
import { browserOrSkip, closeBrowser } from '../../browser/chromium.ts'
import { blockDraft, PhoneDriver } from './phone-driver.ts'
import type { PageGlobals } from './phone-driver.ts'
import { builtPage, PhoneOffice, troubles } from './phone-office.ts'
import { waitInPage } from '../../browser/wait-in-page.ts'

let office: PhoneOffice
let newer: BuiltScanner
let first: BuiltScanner
let context: BrowserContext
let phone: PhoneDriver

beforeAll(async () => {
  ;[office, newer] = await Promise.all([PhoneOffice.open(), builtPage('./phone-page-newer.ts')])
  first = office.build
})
beforeEach(async (ctx) => {
  office.build = first
  context = await (await browserOrSkip(ctx)).newContext()
  phone = await PhoneDriver.open(context, office)
  await phone.enrol()
  await phone.page.evaluate(() => navigator.serviceWorker.ready.then(() => undefined))
})
afterEach(async () => {
  office.trouble = troubles.none
  await context.close()
})
afterAll(async () => {
  await closeBrowser()
  await office.close()
})

type Globals = PageGlobals & { updates: { isWaiting: () => boolean; take: () => void } }

const shownVersion = () => phone.page.evaluate(() => (globalThis as unknown as Globals).appVersion)

/** Has the browser look for a newer version, and waits until it lies there whole. */
async function findNewer(): Promise<void> {
  await phone.page.evaluate(async () => {
    const registration = await navigator.serviceWorker.getRegistration()
    await registration?.update()
  })
  await phone.page.waitForFunction(async () => {
    const registration = await navigator.serviceWorker.getRegistration()
    return registration?.waiting !== null && registration?.waiting !== undefined
  })
}

/** Closes every tab and opens the app in a new one. */
async function reopen(): Promise<void> {
  const old = phone
  await old.page.close()
  phone = await PhoneDriver.open(context, office)
}

describe('the service worker', () => {
  it('opens the app without a network, and entries can be written', async () => {
    await reopen()
    await office.stop()
    await reopen()
    await phone.write([blockDraft(1)])
    const during = await phone.sync()
    expect([during.count, during.state]).toEqual([1, 'no network'])
    await office.start()
    expect((await phone.sync()).count).toBe(0)
  })

  it('keeps the open version while anything is unsent, however often reopened', async () => {
    await reopen()
    office.trouble = async () => new Response('oops', { status: 500 })
    await phone.write([blockDraft(1), blockDraft(2)])
    office.build = newer
    await findNewer()
    for (let time = 0; time < 2; time += 1) {
      await reopen()
      expect(await shownVersion()).toBe('first')
      expect((await phone.unsent()).count).toBe(2)
    }
    office.trouble = (_, ask) => ask()
    expect((await phone.sync()).count).toBe(0)
    await reopen()
    expect(await shownVersion()).toBe('newer')
  })

  it(
    'changes at once, queue and all, when the person asks for it',
    { timeout: 120_000 },
    async () => {
      await reopen()
      office.trouble = async () => new Response('oops', { status: 500 })
      const written = await phone.write([blockDraft(1)])
      office.build = newer
      await findNewer()
      // Asking for it nudges nothing: the page loads anew by itself, once the version is whole.
      await waitInPage(
        phone.page,
        () => {
          const { updates, appVersion } = globalThis as unknown as Globals
          if (appVersion !== 'newer' && updates.isWaiting()) updates.take()
          return appVersion === 'newer'
        },
        90_000,
      )
      expect(await shownVersion()).toBe('newer')
      expect((await phone.unsent()).count).toBe(1)
      office.trouble = (_, ask) => ask()
      expect((await phone.sync()).count).toBe(0)
      const { deviceId = '' } = (await phone.identity()) ?? {}
      expect((await office.journal(deviceId)).map(({ id }) => id)).toEqual([written[0]?.id])
    },
  )

  it('takes no version of which one file is not the one that was built', async () => {
    await reopen()
    const page = Buffer.from('<html>Welcome to the guest network')
    const files = new Map(newer.files)
    for (const [name, file] of files) {
      if (name.startsWith('app-')) files.set(name, { ...file, bytes: page, gzip: null })
    }
    office.build = { ...newer, files }
    await phone.page.evaluate(async () => {
      const registration = await navigator.serviceWorker.getRegistration()
      const found = new Promise<void>((resolve) => {
        registration?.addEventListener('updatefound', () => {
          const { installing } = registration
          installing?.addEventListener('statechange', () => {
            if (installing.state === 'redundant') resolve()
          })
        })
      })
      await registration?.update().catch(() => undefined)
      await found
    })
    await reopen()
    expect(await shownVersion()).toBe('first')
    const names = await phone.page.evaluate(() => caches.keys())
    expect(names.filter((name) => name.startsWith('canemark app '))).toHaveLength(1)
  })
})
