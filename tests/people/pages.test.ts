// The pages for people, devices and auditors: what each form does, in a real browser and without.
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { revokeDevice } from '../../api/people/devices.ts'
import { beginSession } from '../../api/people/sessions.ts'
import { listEverybody } from '../../api/people/people.ts'
import { checkPage } from '../browser/check-page.ts'
import { browserOrSkip, closeBrowser, serveApp } from '../browser/chromium.ts'
import type { Serving } from '../browser/chromium.ts'
import { ids, smallNursery } from '../grafting/small-nursery.ts'
import type { OfficeApp } from '../office-app.ts'
import { DeviceClient } from './device-client.ts'
import { password, realApp } from './real-app.ts'
import type { RealApp } from './real-app.ts'

let real: RealApp
let serving: Serving
beforeAll(async () => {
  real = await realApp()
  await smallNursery({ record: real.record } as OfficeApp)
  serving = await serveApp(real.app)
})
afterAll(async () => {
  await closeBrowser()
  await serving.stop()
  await real.drop()
})

const db = () => real.services.db
const desk = () => ({
  deviceId: real.services.deskDeviceId,
  personId: real.idOf('administrator'),
  now: real.now(),
})
const person = async (name: string) => (await listEverybody(db())).find((one) => one.name === name)

describe('people', () => {
  it('are added, renamed, given a role, ended and taken back; a twin name is refused', async () => {
    const cookie = await real.cookieFor('administrator')
    const fields = { name: 'Oro Vidal', role: 'crew', signInName: '' }
    const added = await real.post('/people/new', { cookie, fields })
    const path = added.headers.get('location') ?? ''
    expect(await person('Oro Vidal')).toMatchObject({ role: 'crew', sign_in_name: null })
    const twin = await real.post('/people/new', {
      cookie,
      fields: { ...fields, name: 'ORO VIDAL' },
    })
    expect([twin.status, (await twin.text()).includes('works here already')]).toEqual([422, true])
    const changed = { name: 'Oro Ros', role: 'lead hand', signInName: 'Oro' }
    expect((await real.post(path, { cookie, fields: changed })).status).toBe(303)
    expect(await person('Oro Ros')).toMatchObject({ role: 'lead hand', sign_in_name: 'oro' })
    const taken = { ...changed, signInName: 'ada' }
    const refused = await real.post(path, { cookie, fields: taken })
    expect(await refused.text()).toContain('ada is somebody else’s sign-in name')
    await real.post(`${path}/time`, { cookie })
    expect((await person('Oro Ros'))?.ended_at).toEqual(real.now())
    await real.post(`${path}/time`, { cookie })
    expect((await person('Oro Ros'))?.ended_at).toBeNull()
  })

  it('do not leave while wood is recorded with them', async () => {
    const cookie = await real.cookieFor('administrator')
    const holder = real.idOf('crew')
    const wood = { lotId: ids.redLot, bundleId: null, unit: 'stick' as const, count: 3 }
    const from = { kind: 'place' as const, id: ids.room }
    const body = { wood, from, toHolderId: holder, note: '' }
    await real.record([{ kind: 'wood.handed_over', body }])
    const response = await real.post(`/people/${holder}/time`, { cookie })
    expect(response.status).toBe(422)
    expect(await response.text()).toMatch(/wood of R-1 is still with .*take it back first/)
  })

  it('keep an administrator: the last one cannot leave, lose the role or the sign-in', async () => {
    const cookie = await real.cookieFor('administrator')
    const path = `/people/${real.idOf('administrator')}`
    for (const [to, fields] of [
      [`${path}/time`, {}],
      [path, { name: 'Ada Quill', role: 'office', signInName: 'ada' }],
    ] as const) {
      const response = await real.post(to, { cookie, fields })
      expect([to, response.status]).toEqual([to, 422])
      expect(await response.text()).toContain('nobody else is an administrator')
    }
    const nameless = { name: 'Ada Quill', role: 'administrator', signInName: '' }
    expect((await real.post(path, { cookie, fields: nameless })).status).toBe(422)
    expect((await real.get('/me', cookie)).status).toBe(200)
  })
})

describe('devices', () => {
  it('are enrolled page by page: code, fingerprint, tick', async () => {
    const cookie = await real.cookieFor('office')
    const phone = await DeviceClient.make(real.app)
    const shown = await real.post('/people/devices/new', { cookie, fields: { name: 'Phone 3' } })
    const page = await shown.text()
    const code = /<p class="code">([^<]+)</.exec(page)?.[1] ?? ''
    const watch = /\/people\/devices\/enrolments\/[0-9a-f-]{36}/.exec(page)?.[0] ?? ''
    expect(code).toMatch(/^[0-9A-HJKMNP-TV-Z]{4} [0-9A-HJKMNP-TV-Z]{4}$/)
    expect(await (await real.get(watch, cookie)).text()).toContain('No phone has used the code')
    const enrolled = await phone.enrol(code)
    const { fingerprint } = (await enrolled.json()) as { fingerprint: string }
    const path = `/people/devices/${phone.deviceId}`
    expect((await real.get(watch, cookie)).headers.get('location')).toBe(path)
    expect(await (await real.get(path, cookie)).text()).toContain(fingerprint)
    const unticked = await real.post(`${path}/confirm`, { cookie })
    expect([unticked.status, (await unticked.text()).includes('compare')]).toEqual([422, true])
    await real.post(`${path}/confirm`, { cookie, fields: { same: 'yes' } })
    expect((await phone.push([await phone.block()])).results).toMatchObject([
      { result: 'recorded' },
    ])
  })

  it('that are machines get a token once, and only what was ticked', async () => {
    const cookie = await real.cookieFor('office')
    const path = '/people/devices/machine'
    const nothing = await real.post(path, { cookie, fields: { name: 'Logger' } })
    expect([nothing.status, (await nothing.text()).includes('tick what it is for')]).toEqual([
      422,
      true,
    ])
    const forged = { name: 'Logger', mayRead: 'yes', writeKinds: 'hold.lifted' }
    const page = await (await real.post(path, { cookie, fields: forged })).text()
    const [, token = ''] = /id="machine-token"[^>]*value="([\w-]{43})"/.exec(page) ?? []
    const headers = { authorization: `Bearer ${token}` }
    expect((await real.app.request('/api/journal', { headers })).status).toBe(200)
    const row = await db()
      .selectFrom('device')
      .select(['write_kinds', 'may_read'])
      .where('name', '=', 'Logger')
      .executeTakeFirstOrThrow()
    expect(row).toEqual({ write_kinds: [], may_read: true })
  })

  it('that were revoked have their later entries judged on their page', async () => {
    const cookie = await real.cookieFor('office')
    const phone = await DeviceClient.make(real.app)
    const shown = await real.post('/people/devices/new', { cookie, fields: { name: 'Phone 4' } })
    await phone.enrol(/<p class="code">([^<]+)</.exec(await shown.text())?.[1] ?? '')
    const path = `/people/devices/${phone.deviceId}`
    await real.post(`${path}/confirm`, { cookie, fields: { same: 'yes' } })
    expect((await real.post(`${path}/revoke`, { cookie, fields: { reason: '' } })).status).toBe(422)
    await real.post(`${path}/revoke`, { cookie, fields: { reason: 'lost' } })
    const late = await phone.block()
    await phone.push([late])
    const page = await (await real.get(path, cookie)).text()
    expect(page).toContain('Entries that came after it was revoked')
    const [, number = ''] = /name="entry" value="(\d+)"/.exec(page) ?? []
    const judged = `${path}/held`
    expect((await real.post(judged, { cookie, fields: { what: 'accept' } })).status).toBe(422)
    const fields = { entry: number, judgement: 'seen on the row', what: 'accept' }
    expect((await real.post(judged, { cookie, fields })).status).toBe(303)
    const stored = await db().selectFrom('entry').select('id').where('id', '=', late.id).execute()
    expect(stored).toHaveLength(1)
    expect(await (await real.get(path, cookie)).text()).not.toContain('came after it was revoked')
  })
})

describe('in a real browser', () => {
  it('every page is valid HTML and keeps WCAG 2.2 AA', async (ctx) => {
    const browser = await browserOrSkip(ctx)
    const token = await beginSession(db(), { personId: real.idOf('administrator') }, '', real.now())
    const phone = await DeviceClient.make(real.app)
    const cookie = `canemark=${token}`
    const shown = await real.post('/people/devices/new', { cookie, fields: { name: 'Phone 9' } })
    await phone.enrol(/<p class="code">([^<]+)</.exec(await shown.text())?.[1] ?? '')
    const device = `/people/devices/${phone.deviceId}`
    const page = await browser.newPage()
    await page.goto(`${serving.url}/sign-in`)
    await checkPage(page)
    const { hostname } = new URL(serving.url)
    await page
      .context()
      .addCookies([{ name: 'canemark', value: token, domain: hostname, path: '/' }])
    const paths = [
      ...['/me', '/people', '/people/new', `/people/${real.idOf('office')}`, '/people/devices'],
      ...['/people/devices/new', '/people/devices/machine', device],
      ...['/people/audits', '/people/audits/new', '/begin'],
    ]
    for (const path of paths) {
      await page.goto(`${serving.url}${path}`)
      await checkPage(page)
    }
    await revokeDevice(db(), desk(), phone.deviceId, 'the fingerprint differs')
    await phone.push([await phone.block()])
    await page.goto(`${serving.url}${device}`)
    await checkPage(page)
    await page.close()
  })

  it('somebody signs in, is asked for the password again, and signs out', async (ctx) => {
    const browser = await browserOrSkip(ctx)
    const page = await (await browser.newContext()).newPage()
    await page.goto(`${serving.url}/people/new`)
    expect(new URL(page.url()).search).toBe('?next=%2Fpeople%2Fnew')
    await page.getByLabel('Sign-in name').fill('ada')
    await page.getByLabel('Password').fill(password)
    await page.getByRole('button', { name: 'Sign in' }).click()
    expect(new URL(page.url()).pathname).toBe('/people/new')
    real.later(11)
    await page.getByLabel('Name', { exact: true }).fill('Lena Quist')
    const answered = page.waitForResponse((response) => response.request().method() === 'POST')
    await page.getByRole('button', { name: 'Add' }).click()
    await checkPage(page, { html: await (await answered).text() })
    await page.getByLabel('Password').fill(password)
    await page.getByRole('button', { name: 'Go on' }).click()
    await page.waitForURL(/\/people\/[0-9a-f-]{36}$/)
    expect(await person('Lena Quist')).toMatchObject({ role: 'crew' })
    await page.getByRole('button', { name: 'Sign out', exact: true }).click()
    await page.goto(`${serving.url}/lots`)
    expect(new URL(page.url()).pathname).toBe('/sign-in')
    await page.context().close()
  })

  it('an auditor opens the link and sees one lot', async (ctx) => {
    const browser = await browserOrSkip(ctx)
    const cookie = await real.cookieFor('office')
    const fields = { auditor: 'R. Pell', days: '5', lots: 'W-1' }
    const made = await (await real.post('/people/audits/new', { cookie, fields })).text()
    const [path = ''] = /\/open\/[\w-]{43}/.exec(made) ?? []
    const page = await (await browser.newContext()).newPage()
    await page.goto(`${serving.url}${path}`)
    await checkPage(page)
    await page.getByRole('button', { name: 'Open the record' }).click()
    await checkPage(page)
    await page.getByRole('link', { name: 'W-1' }).click()
    expect(await page.textContent('h1')).toContain('W-1')
    expect(await page.getByRole('link', { name: 'Split' }).count()).toBe(0)
    await page.context().close()
  })
})
