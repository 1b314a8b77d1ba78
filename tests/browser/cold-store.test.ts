// The cold store in a real browser: a file read in and corrected, and the demo's bad week.
import { afterAll, expect, it } from 'vitest'
import { browserOrSkip, closeBrowser } from './chromium.ts'
import { checkPage } from './check-page.ts'
import { openOffice } from './open-office.ts'

afterAll(closeBrowser)

const slow = { timeout: 600_000 }

it(
  'a logger’s file is guessed, corrected by a person, read in and remembered',
  slow,
  async (ctx) => {
    const browser = await browserOrSkip(ctx)
    const { desk, close } = await openOffice(browser, '2027-03-01T10:00:00Z')
    desk.page.setDefaultTimeout(120_000)
    await desk.open('/store/register')
    await desk.send({ name: 'North room', placeKind: 'room' }, /Save the place/)
    await desk.open('/store/loggers/new')
    const since = '2027-01-01T00:00'
    await desk.send({ name: 'Grey one', placeId: 'North room', fromAt: since }, /Save/)
    expect(await desk.words()).toContain('North room')

    const lines = Array.from(
      { length: 30 },
      (_, nr) => `03.02.2027 ${10 + Math.floor(nr / 6)}:${nr % 6}5;39,${nr % 4};88`,
    )
    const file = `Grey one\nTime;Temp;RH %\n${lines.join('\n')}\n03.02.2027 15:05;39,1;104\n`
    await desk.follow(/Read a file in/)
    await desk.chooseFile('grey.csv', Buffer.from(file))
    await desk.send({}, /Show what it says/)
    const first = await desk.words()
    expect(first).toContain('Relative humidity lies between 0 and 100 %')
    expect(first).toContain('of 30 readings are above 30 °C')
    expect(first).not.toContain('Save the readings')
    await checkPage(desk.page)
    await desk.picture('logger-preview')

    await desk.tickAll('leaveOut')
    await desk.send({ unit: '°F' }, /Read it again like this/)
    expect(await desk.words()).toContain('30 readings; 30 of them are new')
    expect(await desk.words()).toContain('1 lines are left out, as you chose')
    await desk.send({}, /Save the readings/)
    expect(await desk.words()).toContain('30 readings in the 14 days')
    await checkPage(desk.page)

    await desk.follow(/Read a file in/)
    await desk.chooseFile('grey.csv', Buffer.from(file.split('\n').slice(0, 20).join('\n')))
    await desk.send({}, /Show what it says/)
    expect(await desk.words()).toContain('18 readings; 0 of them are new, 18 are recorded already')
    await close()
  },
)

it('the demo’s bad week shows with the lots it touched, and how they aged', slow, async (ctx) => {
  const browser = await browserOrSkip(ctx)
  const { desk, close } = await openOffice(browser, '2026-11-20T10:00:00Z')
  desk.page.setDefaultTimeout(400_000)
  await desk.send({}, /Load the demo/)
  await desk.open('/store/excursions?days=400')
  expect(await desk.words()).toContain('Cold room 2')
  expect(await desk.words()).toMatch(/2026-02-2\d/)
  await checkPage(desk.page)
  await desk.picture('excursions')
  await desk.follow(/^26-/)
  const words = await desk.words()
  expect(words).toContain('It lay above 8 °C for')
  expect(words).toContain('Aged like')
  await checkPage(desk.page)
  await desk.picture('lot-storage')
  await desk.open('/store/board')
  expect(await desk.words()).toContain('Cold room 1')
  expect(await desk.words()).toContain('What to use first')
  await checkPage(desk.page)
  await desk.picture('board')
  await desk.open('/store/loggers')
  await desk.follow('Logger 2')
  await checkPage(desk.page)
  await desk.picture('logger')
  await close()
})
