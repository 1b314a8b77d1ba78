// Every screen of the phone's shell in both languages: in words, in reach, by WCAG 2.2 AA.
import { sql } from 'kysely'
import type { Page } from 'playwright-core'
import { afterAll, describe, expect, it } from 'vitest'
import { formatTagCode, isTagCode, TAG_ALPHABET } from '#trade/tag-code.ts'
import { recordAtDesk } from '../../api/journal/desk.ts'
import { revokeDevice } from '../../api/people/devices.ts'
import { newId } from '../../api/platform/clock.ts'
import { verdictIn } from '../../scanner/words/reason-words.ts'
import { freshDatabase } from '../database.ts'
import { browserOrSkip, closeBrowser } from './chromium.ts'
import { field, tags } from './field-nursery.ts'
import { FieldOffice, GRAFTER } from './field-office.ts'
import { FieldPhone } from './field-phone.ts'
import { measureScreen } from './measure-screen.ts'
import { waitInPage } from './wait-in-page.ts'

afterAll(closeBrowser)

const slow = { timeout: 600_000 }

describe('from first start to a stopped phone, each screen is told, reached, readable', () => {
  it.for(['en', 'es'] as const)('in the language %s', slow, async (language, ctx) => {
    const browser = await browserOrSkip(ctx)
    const office = await FieldOffice.open(await freshDatabase())
    const locale = language === 'es' ? 'es-MX' : 'en-GB'
    const context = await browser.newContext({ locale, viewport: { width: 360, height: 740 } })
    const page = await context.newPage()
    page.setDefaultTimeout(60_000)
    const phone = new FieldPhone(page, office, language)
    await firstStart(phone)
    await enrol(phone, office)
    await typeCodes(phone)
    await scanThings(phone)
    await scanStrangers(phone)
    await withdrawEntry(phone, office)
    await lookAround(phone)
    await holdAndRevoke(phone, office)
    await context.close()
    await office.close()
  })
})

/** Language, units, hand (left in Spanish, so that the mirrored layout is seen), storage. */
async function firstStart(phone: FieldPhone): Promise<void> {
  await phone.open()
  await phone.pressText(phone.language === 'es' ? 'Español' : 'English')
  await phone.see('start.language')
  await measureScreen(phone, 'start-language')
  await phone.press('part.next')
  await phone.press(phone.language === 'es' ? 'start.left' : 'start.right')
  await measureScreen(phone, 'start-units')
  const side = phone.language === 'es' ? 'left' : 'right'
  expect(await phone.page.locator('html').getAttribute('data-hand')).toBe(side)
  expect(await phone.page.locator('html').getAttribute('lang')).toBe(phone.language)
  await phone.press('part.next')
  await phone.press('start.keep.ask')
  await phone.page
    .getByText(phone.words('start.keep.refused'))
    .or(phone.page.getByText(phone.words('start.keep.promised')))
    .waitFor()
  await measureScreen(phone, 'start-keep')
  await phone.press('part.next')
}

/** A wrong code is told; the right one leads to the fingerprint that the office compares. */
async function enrol(phone: FieldPhone, office: FieldOffice): Promise<void> {
  const { page } = phone
  await page.locator('input.code').fill('hello')
  await phone.press('enrol.send')
  await phone.see('enrol.notOne.what')
  await page.locator('input.code').fill('0000 0000')
  await phone.press('enrol.send')
  await phone.see('enrol.wrong.what')
  await measureScreen(phone, 'enrol-wrong')
  await page.locator('input.code').fill(await office.enrolCode('Yellow phone'))
  await phone.press('enrol.send')
  await phone.see('waiting.title')
  expect(await page.locator('.fingerprint').innerText()).toMatch(/^([0-9A-Z]{4} ?){5}$/)
  await measureScreen(phone, 'waiting')
  await office.letIn()
  await phone.press('waiting.again')
  await phone.see('person.title')
  await phone.pressText(GRAFTER).catch(() => undefined)
  await phone.atScan()
}

/** Slips are told at the line, group by group; what was typed stays there. */
async function typeCodes(phone: FieldPhone): Promise<void> {
  const { page } = phone
  await page.locator('.no-camera').waitFor()
  await measureScreen(phone, 'scan')
  const slip = wrongAt(tags.bundle, 5)
  await phone.scan(formatTagCode(slip))
  await phone.see('slip.group.todo', { groups: '2' })
  expect(await page.locator('input.code').inputValue()).toBe(formatTagCode(slip))
  await measureScreen(phone, 'scan-slip')
  await phone.scan(tags.bundle.slice(0, 8))
  await phone.see('slip.short.todo')
  await phone.scan(`${tags.bundle.slice(0, 10)}U`)
  await phone.see('slip.letter.todo')
  await page.locator('input.code').fill('')
  await phone.see('reader.typed')
}

/** What a tag is and its verdict stand in large words; a reader that types does the same. */
async function scanThings(phone: FieldPhone): Promise<void> {
  const { page, language } = phone
  await phone.scan(tags.bundle)
  await phone.see('thing.bundleOf', { lot: '26-014' })
  expect(await page.locator('.verdict .word').innerText()).toBe(verdictIn(language, 'ready'))
  await measureScreen(phone, 'found-bundle')
  await phone.press('scan.details')
  await phone.see('lot.stays')
  await measureScreen(phone, 'details-lot')
  await backToScan(phone)
  for (const [name, code] of Object.entries({ row: tags.row, place: tags.room })) {
    await typeLikeReader(page, code)
    await phone.seeText(formatTagCode(code))
    await measureScreen(phone, `found-${name}`)
    await backToScan(phone)
  }
}

/** Whatever else a text may be is said, with what to do; nothing of it is opened. */
async function scanStrangers(phone: FieldPhone): Promise<void> {
  const [free = ''] = tags.free
  await phone.scan(free)
  await phone.see('found.unbound.what')
  await measureScreen(phone, 'found-unbound')
  await backToScan(phone)
  await phone.scan(unknownCode())
  await phone.see('found.unknown.what')
  await backToScan(phone)
  await phone.scan(`HTTPS://TAGS.EXAMPLE.ORG/T/${unknownCode()}`)
  await phone.see('found.otherNursery.what')
  await measureScreen(phone, 'found-other-nursery')
  await backToScan(phone)
  await phone.scan(`https://example.org/menu?${'x'.repeat(400)}`)
  await phone.see('found.foreignWeb.what')
  await measureScreen(phone, 'found-foreign')
  expect(new URL(phone.page.url()).pathname).toBe('/scanner/')
  await backToScan(phone)
  await phone.scan('WIFI:T:WPA;S:Shed;P:secret word;;')
  await phone.see('found.foreignWifi.what')
  expect(await phone.page.getByRole('main').innerText()).not.toContain('secret word')
  await backToScan(phone)
}

/** An entry is withdrawn with its reason, which arrives at the server. */
async function withdrawEntry(phone: FieldPhone, office: FieldOffice): Promise<void> {
  await phone.scan(tags.knife)
  await phone.press('tool.title')
  await phone.press('said.blade.alcohol')
  await phone.atScan()
  await phone.press('scan.more')
  await measureScreen(phone, 'more')
  await phone.press('more.last')
  await phone.see('entry.tool.disinfected')
  await measureScreen(phone, 'last-entries')
  await phone.press('last.withdraw')
  await phone.press('last.withdraw.do')
  await phone.see('last.withdraw.needed')
  await phone.press('last.withdraw.notDone')
  await measureScreen(phone, 'withdraw')
  await phone.press('last.withdraw.do')
  await phone.see('last.withdraw.done')
  await phone.press('part.back')
  await phone.allSent()
  const sent = await office.fromPhones()
  expect(sent.map(({ kind }) => kind)).toEqual(['tool.disinfected', 'entry.withdrawn'])
  expect(sent[1]?.body).toEqual({
    entryId: sent[0]?.id,
    reason: phone.words('last.withdraw.notDone'),
  })
}

async function lookAround(phone: FieldPhone): Promise<void> {
  const { page } = phone
  await phone.press('scan.without')
  await measureScreen(phone, 'without-tag')
  await phone.press('part.back')
  await phone.press('scan.more')
  await phone.press('more.find')
  await page.getByLabel(phone.words('look.search')).fill('dunm')
  await phone.seeText('26-015')
  await measureScreen(phone, 'find')
  await phone.press('part.back')
  await phone.press('scan.more')
  await phone.press('more.settings')
  await measureScreen(phone, 'settings')
  await phone.press('part.back')
  await phone.press('scan.more')
  await phone.press('more.person')
  await measureScreen(phone, 'person')
  await phone.press('part.back')
}

/** A hold reaches the phone as a stop; a stopped phone keeps what it has and says so. */
async function holdAndRevoke(phone: FieldPhone, office: FieldOffice): Promise<void> {
  const { db, deskDeviceId } = office.services
  const desk = { deviceId: deskDeviceId, personId: office.grafterId, now: new Date() }
  const on = { kind: 'lot' as const, id: field.lot }
  const hold = { holdId: newId(), on, agent: null, reason: 'mixed up' }
  await recordAtDesk(db, desk, [{ kind: 'hold.placed', body: hold }])
  await sendNow(phone)
  await phone.press('part.back')
  await phone.scan(tags.bundle)
  await phone.seeText(verdictIn(phone.language, 'stop'))
  await measureScreen(phone, 'found-stop')
  await backToScan(phone)
  const phones = await sql<{ device_id: string }>`
    select device_id from device where kind = 'phone'`.execute(db)
  await revokeDevice(db, { ...desk, now: new Date() }, phones.rows[0]?.device_id ?? '', 'lost')
  await phone.scan(tags.knife)
  await phone.press('tool.title')
  await phone.press('tool.again', { what: phone.words('said.blade.alcohol') })
  await phone.see('revoked.title')
  await measureScreen(phone, 'revoked')
}

async function sendNow(phone: FieldPhone): Promise<void> {
  await phone.press('scan.more')
  await phone.press('more.unsent')
  await measureScreen(phone, 'unsent')
  await phone.press('unsent.send')
}

async function backToScan(phone: FieldPhone): Promise<void> {
  await phone.press('scan.next')
  await phone.atScan()
  await focusIsOnHeading(phone.page)
}

/** As a Bluetooth reader types: all keys at once, told in the page, however slow we are. */
async function typeLikeReader(page: Page, text: string): Promise<void> {
  await page.evaluate(
    (keys) => {
      const target = document.querySelector('h1') ?? document.body
      for (const key of keys)
        target.dispatchEvent(new KeyboardEvent('keydown', { key, bubbles: true }))
    },
    [...text, 'Enter'],
  )
}

/** A screen reader begins where the screen begins: its heading has the focus. */
async function focusIsOnHeading(page: Page): Promise<void> {
  await waitInPage(page, () => document.activeElement?.matches('h1') === true)
}

/** The code with another character at this place, so that its check fails. */
function wrongAt(code: string, place: number): string {
  return code.slice(0, place) + (code[place] === '7' ? '8' : '7') + code.slice(place + 1)
}

/** A sound code that no tag of the nursery has. */
function unknownCode(): string {
  const bodies = ['0123456789', '1023456789', '2013456789', '3012456789', '4012356789']
  const codes = bodies.flatMap((body) => [...TAG_ALPHABET].map((sign) => body + sign))
  return codes.find(isTagCode) ?? ''
}
