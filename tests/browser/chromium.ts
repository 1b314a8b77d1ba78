// One real browser for a test file, driven against the app on a port of its own.
import { existsSync } from 'node:fs'
import type { AddressInfo } from 'node:net'
import { serve } from '@hono/node-server'
import type { Hono } from 'hono'
import { chromium } from 'playwright-core'
import type { Browser } from 'playwright-core'
import type { TestContext } from 'vitest'
import type { Env } from '../../api/platform/services.ts'

/** Where a browser of this family usually lies; CHROMIUM_PATH comes before all. */
const commonPaths = [
  '/usr/bin/chromium',
  '/usr/bin/chromium-browser',
  '/usr/bin/google-chrome-stable',
  '/usr/bin/google-chrome',
  '/snap/bin/chromium',
  '/Applications/Google Chrome.app/Contents/MacOS/Google Chrome',
  '/Applications/Chromium.app/Contents/MacOS/Chromium',
]

let launched: Promise<Browser> | null = null

/**
 * The browser, launched at the first call and shared by the test file. Without one on this machine
 * the test is skipped, the reason printed; with CI or CANEMARK_REQUIRE_BROWSER set it fails.
 */
export async function browserOrSkip(ctx: TestContext): Promise<Browser> {
  launched ??= chromium.launch({
    executablePath: chromiumOrSkip(ctx),
    args: ['--no-sandbox', '--disable-gpu', '--disable-background-networking'],
  })
  return launched
}

/** The browser's program file for a test that launches its own; skips or fails as above. */
export function chromiumOrSkip(ctx: TestContext): string {
  const path = findChromium()
  if (path !== null) return path
  const reason = 'no Chromium found: set CHROMIUM_PATH to its program file'
  if (isRequired()) throw new Error(reason)
  console.warn(`skipped "${ctx.task.name}": ${reason}`)
  return ctx.skip(reason)
}

/** Closes the browser if one was launched; for `afterAll`. */
export async function closeBrowser(): Promise<void> {
  const browser = await launched
  launched = null
  await browser?.close()
}

/** The program file of the browser, or null when there is none. */
export function findChromium(): string | null {
  const told = process.env.CHROMIUM_PATH
  if (told !== undefined && told !== '') return existsSync(told) ? told : null
  return commonPaths.find((path) => existsSync(path)) ?? null
}

/** An app that listens on this machine: its address without a path, and how to stop it. */
export type Serving = { url: string; stop: () => Promise<void> }

/** Serves `app` on a free port of the loopback address. */
export async function serveApp(app: Hono<Env>): Promise<Serving> {
  const server = await new Promise<ReturnType<typeof serve>>((resolve) => {
    const started = serve({ fetch: app.fetch, hostname: '127.0.0.1', port: 0 }, () =>
      resolve(started),
    )
  })
  const { port } = server.address() as AddressInfo
  const stop = () =>
    new Promise<void>((resolve, reject) => {
      server.close((error) => (error === undefined ? resolve() : reject(error)))
      if ('closeAllConnections' in server) server.closeAllConnections()
    })
  return { url: `http://127.0.0.1:${port}`, stop }
}

function isRequired(): boolean {
  return [process.env.CI, process.env.CANEMARK_REQUIRE_BROWSER].some(
    (value) => value !== undefined && value !== '' && value !== '0' && value !== 'false',
  )
}
