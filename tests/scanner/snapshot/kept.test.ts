// In a real browser: a snapshot is kept whole or not at all, and a photo until the server has it.
import { readFileSync } from 'node:fs'
import { afterAll, beforeAll, beforeEach, afterEach, describe, expect, it } from 'vitest'
import type { BrowserContext } from 'playwright-core'
import { browserOrSkip, closeBrowser } from '../../browser/chromium.ts'
import { blockDraft, PhoneDriver } from '../inside/phone-driver.ts'
import type { PageGlobals } from '../inside/phone-driver.ts'
import { PhoneOffice } from '../inside/phone-office.ts'
import type { Trouble } from '../inside/phone-office.ts'

const noTrouble: Trouble = (_, ask) => ask()
const picture = readFileSync('scanner/icons/icon-192.png').toString('base64')
let office: PhoneOffice
let context: BrowserContext
let phone: PhoneDriver

beforeAll(async () => {
  office = await PhoneOffice.open()
})
beforeEach(async (ctx) => {
  const browser = await browserOrSkip(ctx)
  context = await browser.newContext()
  phone = await PhoneDriver.open(context, office)
  await phone.enrol()
})
afterEach(async () => {
  office.trouble = noTrouble
  await context.close()
})
afterAll(async () => {
  await closeBrowser()
  await office.close()
})

const known = () =>
  phone.page.evaluate(() => {
    const { snapshot } = (globalThis as unknown as PageGlobals).phone
    return { takenAt: snapshot.takenAt, blocks: snapshot.blocks().map(({ name }) => name) }
  })

/** Breaks only what is asked of snapshots. */
const onSnapshots =
  (trouble: Trouble): Trouble =>
  (request, ask) =>
    request.url.includes('/api/snapshot') ? trouble(request, ask) : ask()

const broken: Record<string, Trouble> = {
  'a page of something else': async () =>
    new Response('<html>Sign in to the hotel</html>', { headers: { 'content-type': 'text/html' } }),
  'another shape': async () => Response.json({ version: 1, whole: true, lots: 'none' }),
  'half of it': async (_, ask) => {
    const text = await (await ask()).text()
    const headers = { 'content-type': 'application/json' }
    return new Response(text.slice(0, text.length / 2), { headers })
  },
  'a failure': async () => new Response('oops', { status: 500 }),
  'a failure at the rows, after the rest had come': async (request, ask) =>
    request.url.includes('/blocks/') ? new Response('oops', { status: 500 }) : ask(),
}

describe('the snapshot that a phone holds', () => {
  it.each(Object.keys(broken))(
    'stays as it was when the server answers with %s',
    async (name) => {
      await phone.write([blockDraft(1)])
      await phone.sync()
      const before = await known()
      expect(before.blocks).toContain('Block 1')
      await phone.write([blockDraft(2)])
      office.trouble = onSnapshots(broken[name] ?? noTrouble)
      expect((await phone.sync()).count).toBe(0)
      expect(await known()).toEqual(before)
      await phone.load()
      expect(await known()).toEqual(before)
      office.trouble = noTrouble
      await phone.sync()
      expect((await known()).blocks).toContain('Block 2')
    },
    120_000,
  )

  it('is taken up by a second tab when the first has fetched it', async () => {
    await phone.write([blockDraft(5)])
    await phone.sync()
    const second = await PhoneDriver.open(context, office)
    await second.sync()
    await phone.write([blockDraft(6)])
    await phone.sync()
    // From here on neither tab can fetch anything.
    office.trouble = onSnapshots(async () => new Response('oops', { status: 500 }))
    const { takenAt } = await known()
    await second.page.waitForFunction((at) => {
      const { snapshot } = (globalThis as unknown as PageGlobals).phone
      return snapshot.takenAt === at && snapshot.blocks().some(({ name }) => name === 'Block 6')
    }, takenAt)
  }, 120_000)

  it('is there after the page was closed, with no network at all', async () => {
    await phone.write([blockDraft(3)])
    await phone.sync()
    const before = await known()
    office.trouble = async () => new Response('oops', { status: 500 })
    await phone.load()
    expect(before.takenAt).not.toBeNull()
    expect(await known()).toEqual(before)
  }, 120_000)
})

describe('a photo kept on the phone', () => {
  it('waits through trouble and a new start, and reaches the server once', async () => {
    const { db } = office.office.services
    const [written] = await phone.write([blockDraft(4)])
    if (written === undefined) throw new Error('the entry was written')
    await phone.page.evaluate(
      async ([entryId = '', base64 = '']) => {
        const bytes = Uint8Array.from(atob(base64), (letter) => letter.charCodeAt(0))
        const { phone: inside } = globalThis as unknown as PageGlobals
        await inside.keepPhoto(entryId, new Blob([bytes], { type: 'image/png' }))
      },
      [written.id, picture],
    )
    office.trouble = (request, ask) =>
      request.url.includes('/api/photos/')
        ? Promise.resolve(new Response('oops', { status: 500 }))
        : ask()
    expect((await phone.sync()).count).toBe(0)
    const rows = () =>
      db.selectFrom('photo').select('bytes').where('entry_id', '=', written.id).execute()
    expect(await rows()).toEqual([])
    await phone.load()
    office.trouble = noTrouble
    await phone.sync()
    await phone.sync()
    expect((await rows()).map(({ bytes }) => bytes.toString('base64'))).toEqual([picture])
  }, 120_000)
})
