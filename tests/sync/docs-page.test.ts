// The page that describes the machine API works in a real browser under our own strict policy.
import { afterAll, beforeAll, expect, it } from 'vitest'
import { browserOrSkip, closeBrowser, serveApp } from '../browser/chromium.ts'
import type { Serving } from '../browser/chromium.ts'
import { htmlProblems } from '../browser/html-problems.ts'
import { deviceApp } from './device-app.ts'
import type { DeviceApp } from './device-app.ts'

let api: DeviceApp
let serving: Serving
beforeAll(async () => {
  api = await deviceApp()
  serving = await serveApp(api.app)
})
afterAll(async () => {
  await closeBrowser()
  await serving.stop()
  await api.drop()
})

it('shows every operation, loads nothing from elsewhere and breaks no policy', async (ctx) => {
  const browser = await browserOrSkip(ctx)
  const page = await browser.newPage()
  const complaints: string[] = []
  const asked: string[] = []
  page.on('console', (message) => {
    if (message.type() === 'error') complaints.push(message.text())
  })
  page.on('pageerror', (error) => complaints.push(error.message))
  page.on('request', (request) => asked.push(request.url()))
  const response = await page.goto(`${serving.url}/api/docs`)
  expect(response?.headers()['content-security-policy']).toContain("script-src 'self'")
  await page.locator('.opblock-summary-path').first().waitFor()
  const document = (await (await api.get('/api/openapi.json', null)).json()) as {
    paths: Record<string, Record<string, unknown>>
  }
  const count = Object.values(document.paths).flatMap((item) => Object.keys(item)).length
  expect(await page.locator('.opblock').count()).toBe(count)
  await page.getByText('/journal', { exact: true }).click()
  await page.getByText('Pull the journal').first().waitFor()
  expect(complaints).toEqual([])
  const elsewhere = asked.filter((url) => !/^(data|blob):/.test(url))
  expect(elsewhere.filter((url) => !url.startsWith(serving.url))).toEqual([])
  await page.close()
})

it('the page is valid HTML, and names the description when scripts do not run', async () => {
  const html = await (await api.get('/api/docs', null)).text()
  expect(htmlProblems(html)).toEqual([])
  expect(html).toContain('href="/api/openapi.json"')
  expect(html).not.toMatch(/<script(?![^>]*src=)|<style|style=|onload=/)
})
