// A real browser reads our printed tags off a film in place of its camera, worker and all.
import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { Hono } from 'hono'
import { chromium } from 'playwright-core'
import type { Browser, Page } from 'playwright-core'
import { afterAll, afterEach, beforeAll, describe, expect, it } from 'vitest'
import type { TestContext } from 'vitest'
import type { Env } from '../../api/platform/services.ts'
import { addScannerPages } from '../../api/sync/scanner-pages.ts'
import { buildScanner } from '../../scanner/build.ts'
import type { BuiltScanner } from '../../scanner/build.ts'
import { exampleFieldTag, exampleLeavingLabel } from '../labels/examples.ts'
import { CLEAN } from '../scanner/frames/faults.ts'
import { writeFilm } from '../scanner/frames/film-file.ts'
import { printTag } from '../scanner/frames/printed-tag.ts'
import { film } from '../scanner/frames/sequence.ts'
import { paintForeign, paintTag, tagRequest } from '../scanner/frames/tag-texture.ts'
import type { TagTexture } from '../scanner/frames/tag-texture.ts'
import { seeded } from '../sim/entry-writer.ts'
import { requireTool } from '../tools.ts'
import { chromiumOrSkip, serveApp } from './chromium.ts'
import type { Serving } from './chromium.ts'

const waitMs = 90_000
const fakeCamera = ['--use-fake-device-for-media-stream', '--use-fake-ui-for-media-stream']

let folder: string
let serving: Serving
let browser: Browser | null = null

beforeAll(async () => {
  folder = mkdtempSync(join(tmpdir(), 'canemark-camera-'))
  const page = fileURLToPath(new URL('camera-page.ts', import.meta.url))
  let built: Promise<BuiltScanner> | null = null
  const app = new Hono<Env>()
  addScannerPages(app, () => (built ??= buildScanner(page)))
  serving = await serveApp(app)
})
afterEach(async () => {
  await browser?.close()
  browser = null
})
afterAll(async () => {
  await serving.stop()
  rmSync(folder, { recursive: true })
})

/**
 * Opens the page in a browser of its own with these switches, one file of the app withheld.
 * Gives the page and the addresses that it asked for.
 */
async function open(ctx: TestContext, switches: readonly string[], blocked = '') {
  browser = await chromium.launch({
    executablePath: chromiumOrSkip(ctx),
    args: ['--no-sandbox', '--disable-gpu', '--disable-background-networking', ...switches],
  })
  const context = await browser.newContext()
  const asked: string[] = []
  context.on('request', (request) => asked.push(request.url()))
  const page = await context.newPage()
  if (blocked !== '') await context.route(`**/${blocked}`, (route) => route.abort())
  await page.goto(`${serving.url}/scanner/`)
  return { page, asked }
}

function filmSwitches(tag: TagTexture, other: TagTexture | null = null): string[] {
  const path = join(folder, 'film.y4m')
  const size = { width: 1280, height: 720, frameCount: 4 }
  const view = other === null ? CLEAN : { ...CLEAN, neighbour: 1 }
  writeFilm(path, film(tag, other, view, size, seeded(11)).frames)
  return [...fakeCamera, `--use-file-for-fake-video-capture=${path}`]
}

async function firstTold(page: Page, kind: 'one' | 'several'): Promise<string | null> {
  const line = page.locator(`p.${kind}`).first()
  await line.waitFor({ timeout: waitMs })
  return await line.textContent()
}

/** Why there is no picture, once the page says so. */
async function troubleOf(page: Page): Promise<string | undefined> {
  await page.waitForFunction(() => (document.body.dataset.trouble ?? '') !== '', null, {
    timeout: waitMs,
  })
  return await page.evaluate(() => document.body.dataset.trouble)
}

/** Resolves after the video has shown this many frames more. */
async function moreFrames(page: Page, count: number): Promise<void> {
  const shown = () => page.evaluate(() => Number(document.body.dataset.frames))
  const enough = (await shown()) + count
  await page.waitForFunction((least) => Number(document.body.dataset.frames) >= least, enough, {
    timeout: waitMs,
  })
}

/** Says that the page was hidden or shown, as leaving and coming back to the app does. */
async function setVisibility(page: Page, state: 'hidden' | 'visible'): Promise<void> {
  await page.evaluate((value) => {
    Object.defineProperty(document, 'visibilityState', { value, configurable: true })
    document.dispatchEvent(new Event('visibilitychange'))
  }, state)
}

describe('a film of printed tags in place of the camera', () => {
  it('a printed field tag is read, from our own server alone, and told once', async (ctx) => {
    requireTool(ctx, 'pdftoppm')
    const tag = await printTag(tagRequest(exampleFieldTag(21), 'roll-100x25'))
    const { page, asked } = await open(ctx, filmSwitches(tag))
    expect(await firstTold(page, 'one')).toBe(tag.code)
    await moreFrames(page, 20)
    expect(await page.locator('p.one').count()).toBe(1)
    await page.evaluate(() => dispatchEvent(new Event('test-again')))
    await page.locator('p.one').nth(1).waitFor({ timeout: waitMs })
    expect(await page.locator('p.one').allTextContents()).toEqual([tag.code, tag.code])
    expect(asked.filter((address) => !address.startsWith(serving.url))).toEqual([])
    expect(asked.some((address) => address.endsWith('/scanner/zxing_reader.wasm'))).toBe(true)
    await page.evaluate(() => dispatchEvent(new Event('test-stop')))
    expect(await page.locator('p.stopped').textContent()).toBe('true')
  })

  it('a leaving label is read as the address that it carries', async (ctx) => {
    requireTool(ctx, 'pdftoppm')
    const tag = await printTag(tagRequest(exampleLeavingLabel(22), 'roll-100x70'))
    const { page } = await open(ctx, filmSwitches(tag))
    expect(await firstTold(page, 'one')).toBe(tag.payload)
  })

  it('of two tags in view neither is chosen: both are told', async (ctx) => {
    requireTool(ctx, 'pdftoppm')
    const [first, second] = await Promise.all(
      [23, 24].map((nr) => printTag(tagRequest(exampleFieldTag(nr), 'roll-50x25'))),
    )
    if (first === undefined || second === undefined) throw new Error('two tags are printed')
    const { page } = await open(ctx, filmSwitches(first, second))
    expect(await firstTold(page, 'several')).toBe([first.code, second.code].sort().join(' '))
    expect(await page.locator('p.one').count()).toBe(0)
  })

  it('a foreign symbol is told as its text', async (ctx) => {
    const wifi = 'WIFI:S:Cellar;T:WPA;P:secret;;'
    const { page } = await open(ctx, filmSwitches(paintForeign(wifi)))
    expect(await firstTold(page, 'one')).toBe(wifi)
  })
})

describe('scanning under trouble', () => {
  const tag = () => paintTag(tagRequest(exampleFieldTag(28), 'roll-100x25'), seeded(1))

  it('without the WebAssembly decoder the plain one still reads the tag', async (ctx) => {
    const { page, asked } = await open(ctx, filmSwitches(tag()), 'zxing_reader.wasm')
    expect(await firstTold(page, 'one')).toBe(tag().code)
    expect(asked.some((address) => address.endsWith('zxing_reader.wasm'))).toBe(true)
  })

  it('without the worker the page says that there is no decoder', async (ctx) => {
    const { page } = await open(ctx, filmSwitches(tag()), 'decode-worker.js')
    expect(await troubleOf(page)).toBe('no decoder')
  })

  it('a hidden page gives the camera up; shown again, it tells the tag anew', async (ctx) => {
    const { page } = await open(ctx, filmSwitches(tag()))
    await firstTold(page, 'one')
    const track = await page.evaluateHandle(() => {
      const stream = document.querySelector('video')?.srcObject
      return stream instanceof MediaStream ? stream.getVideoTracks()[0] : undefined
    })
    await setVisibility(page, 'hidden')
    expect(await track.evaluate((one) => one?.readyState)).toBe('ended')
    expect(await page.evaluate(() => document.body.dataset.looking)).toBe('false')
    await setVisibility(page, 'visible')
    await page.locator('body[data-looking=true]').waitFor({ timeout: waitMs })
    await page.locator('p.one').nth(1).waitFor({ timeout: waitMs })
  })
})

describe('a camera that gives no picture', () => {
  it('a person who says no is told that the camera was denied', async (ctx) => {
    const denied = ['--use-fake-device-for-media-stream', '--deny-permission-prompts']
    const { page } = await open(ctx, denied)
    expect(await troubleOf(page)).toBe('denied')
  })

  it('a machine without a camera says that there is none', async (ctx) => {
    const none = [
      '--use-fake-ui-for-media-stream',
      '--use-fake-device-for-media-stream=device-count=0',
    ]
    const { page } = await open(ctx, none)
    expect(await troubleOf(page)).toBe('absent')
  })
})

describe('a reader that types into the page', () => {
  const typeInto = async (page: Page, selector: string, keys: string[]) => {
    await page.evaluate(
      ({ selector: into, keys: all }) => {
        const target = document.querySelector<HTMLElement>(into)
        target?.focus()
        return all.map((key) => {
          const event = new KeyboardEvent('keydown', { key, bubbles: true, cancelable: true })
          return (document.activeElement ?? document.body).dispatchEvent(event)
        })
      },
      { selector, keys },
    )
  }

  it('is heard anywhere but in a text field, whose keys stay its own', async (ctx) => {
    const { page } = await open(ctx, fakeCamera)
    await page.waitForFunction(() => document.body.dataset.begun === 'true')
    const keys = [...exampleFieldTag(25).code, 'Enter']
    await typeInto(page, '#field', keys)
    expect(await page.locator('p.typed').count()).toBe(0)
    await typeInto(page, '#button', keys)
    expect(await page.locator('p.typed').allTextContents()).toEqual([exampleFieldTag(25).code])
  })

  it('real keys into a text field reach it whole', async (ctx) => {
    const { page } = await open(ctx, fakeCamera)
    await page.waitForFunction(() => document.body.dataset.begun === 'true')
    await page.focus('#field')
    await page.keyboard.type(exampleFieldTag(26).code)
    await page.keyboard.press('Enter')
    expect(await page.inputValue('#field')).toBe(exampleFieldTag(26).code)
    expect(await page.locator('p.typed').count()).toBe(0)
  })

  it('the Enter at its end presses no button', async (ctx) => {
    const { page } = await open(ctx, fakeCamera)
    await page.waitForFunction(() => document.body.dataset.begun === 'true')
    await page.focus('#button')
    await page.keyboard.press('Enter')
    expect(await page.locator('p.pressed').count()).toBe(1)
    const prevented = await page.evaluate(
      (all) => {
        const button = document.querySelector<HTMLElement>('#button')
        const sent = all.map((key) => {
          const event = new KeyboardEvent('keydown', { key, bubbles: true, cancelable: true })
          return button?.dispatchEvent(event)
        })
        return sent.at(-1) === false
      },
      [...exampleFieldTag(27).code, 'Enter'],
    )
    expect(prevented).toBe(true)
  })
})
