// Whatever the network, the server, the disk or the person does: nothing lost, nothing twice.
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, it } from 'vitest'
import type { BrowserContext } from 'playwright-core'
import type { Draft } from '../../../scanner/phone.ts'
import { browserOrSkip, closeBrowser } from '../../browser/chromium.ts'
import { blockDraft, gapless, PhoneDriver } from './phone-driver.ts'
import type { PageGlobals } from './phone-driver.ts'
import { PhoneOffice, troubles } from './phone-office.ts'

let office: PhoneOffice
let context: BrowserContext
let phone: PhoneDriver
let deviceId: string

beforeAll(async () => {
  office = await PhoneOffice.open()
})
beforeEach(async (ctx) => {
  const browser = await browserOrSkip(ctx)
  context = await browser.newContext()
  phone = await PhoneDriver.open(context, office)
  deviceId = await phone.enrol()
})
afterEach(async () => {
  office.trouble = troubles.none
  await context.close()
})
afterAll(async () => {
  await closeBrowser()
  await office.close()
})

const drafts = (count: number, from = 1) =>
  Array.from({ length: count }, (_, nr) => blockDraft(from + nr))

/** The server holds exactly these entries, once each, with gapless counters. */
async function expectExactly(ids: readonly string[]): Promise<void> {
  const rows = await office.journal(deviceId)
  expect(rows.map(({ id }) => id).sort()).toEqual([...ids].sort())
  expect(rows.map((row) => row.device_counter)).toEqual(gapless(rows))
}

const idsOf = (written: readonly { id: string }[]) => written.map(({ id }) => id)

describe('invariant 1: an entry leaves the phone’s queue only on the server’s word for it', () => {
  const broken = ['html', 'strangeJson', 'serverError', 'halfAnswer', 'halfTheResults'] as const
  it.each([...broken, 'lostAnswer'] as const)('%s: it stays, and arrives once', async (name) => {
    const written = await phone.write(drafts(5))
    office.trouble = troubles[name]
    const during = await phone.sync()
    expect([during.count, during.state]).toEqual([5, 'server trouble'])
    office.trouble = troubles.none
    const after = await phone.sync()
    expect([after.count, after.state, after.setAside]).toEqual([0, 'idle', []])
    await expectExactly(idsOf(written))
  })

  it('the server is down: entries are written all the same and arrive later', async () => {
    await office.stop()
    const written = await phone.write(drafts(5))
    const during = await phone.sync()
    expect([during.count, during.state]).toEqual([5, 'no network'])
    expect(during.oldestAt).toBe(written[0]?.occurredAt)
    await office.start()
    expect((await phone.sync()).count).toBe(0)
    await expectExactly(idsOf(written))
  })

  it('one entry that the server always fails on does not hold back the others', async () => {
    const written = await phone.write(drafts(9))
    const poison = written[3]?.id ?? ''
    office.trouble = async (request, ask) => {
      const isPoison = (await request.clone().text()).includes(poison)
      return isPoison ? new Response('oops', { status: 500 }) : ask()
    }
    await expect.poll(async () => (await phone.sync()).count, { timeout: 20_000 }).toBe(1)
    expect(await phone.exported()).toEqual([expect.stringContaining(poison)])
    office.trouble = troubles.none
    await phone.sync()
    await expectExactly(idsOf(written))
  })

  it('an entry that the server sets aside is shown, kept whole, and blocks nothing', async () => {
    const reason = 'tests'
    const holdId = '019b5b7e-0000-7000-8000-0000000000ff'
    const lifted = { kind: 'hold.lifted', body: { holdId, reason, secondPersonId: null } } as const
    const written = await phone.write([blockDraft(1), lifted, blockDraft(2)])
    const after = await phone.sync()
    const id = written[1]?.id
    expect(after.count).toBe(0)
    expect(after.setAside).toMatchObject([{ id, kind: 'hold.lifted', code: 'not_allowed' }])
    expect(await phone.exported()).toEqual((await office.aside(deviceId)).map(({ raw }) => raw))
    expect(await office.journal(deviceId)).toHaveLength(2)
  })
})

describe('a phone that is let in no more', () => {
  it('revoked while offline: its entries are held for the office and kept here', async () => {
    await office.stop()
    await phone.write(drafts(3))
    await office.revoke(deviceId)
    await office.start()
    const after = await phone.sync()
    expect([after.state, after.count]).toEqual(['revoked', 0])
    expect(after.setAside.map(({ code }) => code)).toEqual(Array(3).fill('revoked_device'))
    const held = await office.aside(deviceId)
    expect(held.map((row) => row.problem_code)).toEqual(Array(3).fill('revoked_device'))
    expect(await phone.exported()).toEqual(held.map(({ raw }) => raw))
  })

  it('revoked with nothing to send: it says so at the next try all the same', async () => {
    await phone.write(drafts(1))
    expect((await phone.sync()).state).toBe('idle')
    await office.revoke(deviceId)
    const after = await phone.sync()
    expect([after.state, after.count]).toEqual(['revoked', 0])
    await phone.load()
    expect((await phone.sync()).state).toBe('revoked')
  })

  it('refused with 401: it pauses, loses nothing, and goes on once it is let in', async () => {
    const written = await phone.write(drafts(2))
    const problem = { type: 'about:blank', title: '', status: 401, code: 'unknown_device' }
    const init = { status: 401, headers: { 'content-type': 'application/problem+json' } }
    office.trouble = async () => new Response(JSON.stringify(problem), init)
    const during = await phone.sync()
    expect([during.count, during.state]).toEqual([2, 'not let in'])
    office.trouble = troubles.none
    expect((await phone.sync()).count).toBe(0)
    await expectExactly(idsOf(written))
  })

  it('enrolled anew: what was written under the old key is sent under the old key', async () => {
    await office.stop()
    const before = await phone.write(drafts(2))
    await office.start()
    office.trouble = troubles.serverError
    const old = deviceId
    deviceId = await phone.enrol()
    expect(deviceId).not.toBe(old)
    const written = await phone.write(drafts(3, 10))
    office.trouble = troubles.none
    expect((await phone.sync()).count).toBe(0)
    await expectExactly(idsOf(written))
    expect((await office.journal(old)).map(({ id }) => id)).toEqual(idsOf(before))
  })
})

describe('invariant 2: two tabs of one phone', () => {
  it('write and send at the same time: no counter twice, no entry twice', async () => {
    const other = await PhoneDriver.open(context, office)
    const [mine, theirs] = await Promise.all([
      phone.write(drafts(25)),
      other.write(drafts(25, 100)),
      phone.sync(),
    ])
    await Promise.all([phone.sync(), other.sync()])
    await expectExactly([...idsOf(mine), ...idsOf(theirs)])
    await expect.poll(async () => (await other.unsent()).count).toBe(0)
  })

  it('the same batch sent by both, without the browser’s locks, changes nothing', async () => {
    const withoutLocks = "Object.defineProperty(navigator, 'locks', { value: undefined })"
    await context.addInitScript(withoutLocks)
    await phone.load()
    const other = await PhoneDriver.open(context, office)
    const written = await Promise.all([phone.write(drafts(12)), other.write(drafts(12, 100))])
    await Promise.all([phone.sync(), other.sync()])
    await phone.sync()
    await expectExactly(idsOf(written.flat()))
  })
})

describe('the phone’s own troubles', () => {
  it('storage full: it says so, keeps nothing of that entry, and burns no counter', async () => {
    const browser = context.browser()
    if (browser === null) throw new Error('a context of a launched browser knows it')
    const small = await browser.newContext({ serviceWorkers: 'block' })
    const page = await small.newPage()
    const cdp = await small.newCDPSession(page)
    const origin = office.url
    const limit = (bytes?: number) =>
      cdp.send('Storage.overrideQuotaForOrigin', {
        origin,
        ...(bytes === undefined ? {} : { quotaSize: bytes }),
      })
    await limit(400_000)
    const full = new PhoneDriver(page, office)
    await full.load()
    deviceId = await full.enrol()
    const long = { ...blockDraft(4).body, note: 'n'.repeat(900) }
    const draft = { kind: 'block.registered', body: long } as Draft
    const trouble = await page.evaluate(async (given) => {
      const { phone } = globalThis as unknown as PageGlobals
      try {
        for (let nr = 0; nr < 500; nr += 1) await phone.writeAll([given, given])
        return 'none'
      } catch (error) {
        return (error as { trouble?: string }).trouble ?? String(error)
      }
    }, draft)
    expect(trouble).toBe('storage full')
    const stored = (await full.exported()).length
    expect(stored % 2).toBe(0)
    await limit()
    const isWritten = async () => (await full.write(drafts(1, 5)).catch(() => [])).length
    await expect.poll(isWritten, { timeout: 60_000, interval: 1_000 }).toBe(1)
    expect((await full.sync()).count).toBe(0)
    const rows = await office.journal(deviceId)
    expect(rows).toHaveLength(stored + 1)
    expect(rows.map((row) => row.device_counter)).toEqual(gapless(rows))
    await small.close()
  })

  it('the tab is killed in the middle of taps: what was confirmed is there, once', async () => {
    const confirmed: string[] = []
    await context.exposeFunction('confirmed', (id: string) => confirmed.push(id))
    const crashed = phone.page.waitForEvent('crash')
    await phone.page.evaluate((draft) => {
      const { phone, confirmed } = globalThis as unknown as PageGlobals & {
        confirmed: (id: string) => Promise<number>
      }
      const tap = async (): Promise<void> => {
        const { id } = await phone.write(draft)
        await Promise.all([confirmed(id), tap()])
      }
      void tap()
    }, blockDraft(1))
    await expect.poll(() => confirmed.length, { timeout: 20_000 }).toBeGreaterThan(20)
    const cdp = await context.newCDPSession(phone.page)
    cdp.send('Page.crash').catch(() => undefined)
    await crashed
    await phone.page.close()
    const again = await PhoneDriver.open(context, office)
    expect((await again.sync()).count).toBe(0)
    const rows = await office.journal(deviceId)
    expect(rows.map((row) => row.device_counter)).toEqual(gapless(rows))
    expect(rows.map(({ id }) => id)).toEqual(expect.arrayContaining(confirmed))
    expect((await again.write(drafts(1)))[0]?.deviceCounter).toBe(rows.length + 1)
  })

  it('clock set back a year: ids still rise, both times are kept, sending goes on', async () => {
    const [first] = await phone.write([blockDraft(1)])
    const yearMs = 365 * 24 * 3_600_000
    await phone.page.clock.setSystemTime(Date.now() - yearMs)
    const [second] = await phone.write([blockDraft(2)])
    expect(Date.parse(second?.occurredAt ?? '')).toBeLessThan(Date.now() - yearMs + 600_000)
    expect((second?.id ?? '') > (first?.id ?? '')).toBe(true)
    const after = await phone.sync()
    expect(after.count).toBe(0)
    expect(Math.abs((after.clockOffsetMs ?? 0) - yearMs)).toBeLessThan(600_000)
    await expectExactly([first?.id ?? '', second?.id ?? ''])
  })
})
