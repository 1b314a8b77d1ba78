// The page checker finds what is wrong with a page, so that its silence means something.
import { Hono } from 'hono'
import { afterAll, beforeAll, expect, it } from 'vitest'
import type { Env } from '../../api/platform/services.ts'
import { axeViolations, checkPage } from './check-page.ts'
import { browserOrSkip, closeBrowser, serveApp } from './chromium.ts'
import type { Serving } from './chromium.ts'
import { htmlProblems } from './html-problems.ts'

const whole = (title: string, main: string) =>
  `<!doctype html><html lang="en"><head><meta charset="utf-8"><title>${title}</title></head>` +
  `<body><main><h1>${title}</h1>${main}</main></body></html>`

const sound = whole('A sound page', '<p>Nothing to mend.</p>')
const unlabelled = whole('A page with a nameless input', '<input type="text" name="sticks">')
const pale = whole('A page in pale ink', '<p style="color:#ccc;background:#fff">pale</p>')

let serving: Serving
beforeAll(async () => {
  const app = new Hono<Env>()
  app.get('/sound', (c) => c.html(sound))
  app.get('/unlabelled', (c) => c.html(unlabelled))
  app.get('/pale', (c) => c.html(pale))
  serving = await serveApp(app)
})
afterAll(async () => {
  await closeBrowser()
  await serving.stop()
})

it('a sound page passes', async (ctx) => {
  const page = await (await browserOrSkip(ctx)).newPage()
  await page.goto(`${serving.url}/sound`)
  await checkPage(page)
})

it('an input without a label is found by both checkers', async (ctx) => {
  const page = await (await browserOrSkip(ctx)).newPage()
  await page.goto(`${serving.url}/unlabelled`)
  expect((await axeViolations(page)).join()).toContain('label')
  expect(htmlProblems(unlabelled).join()).toContain('label')
  await expect(checkPage(page)).rejects.toThrow()
})

it('text too pale to read is found, and so is a style written into the page', async (ctx) => {
  const page = await (await browserOrSkip(ctx)).newPage()
  await page.goto(`${serving.url}/pale`)
  expect((await axeViolations(page)).join()).toContain('color-contrast')
  expect(htmlProblems(pale).join()).toContain('no-inline-style')
})

it('a wrongly nested or unclosed element and a doubled id are found', () => {
  expect(htmlProblems(whole('Lists', '<ul><p>no item</p></ul>')).join()).toContain('element')
  expect(htmlProblems(whole('Open', '<div><p>open')).join()).toContain('close-order')
  const doubled = whole('Ids', '<p id="a">one</p><p id="a">two</p>')
  expect(htmlProblems(doubled).join()).toContain('no-dup-id')
})
