// A saved dossier page checks itself in a real browser without any network, and says where.
import { mkdir, mkdtemp, rm, writeFile } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import path from 'node:path'
import { afterAll, beforeAll, expect, it } from 'vitest'
import type { TestContext } from 'vitest'
import type { Page } from 'playwright-core'
import type { MadeDossier } from '../../api/dossier/make.ts'
import { dossierPage } from '../../api/dossier/page.ts'
import { smallOffice, someLot } from '../dossier/dossier-office.ts'
import type { DossierOffice } from '../dossier/dossier-office.ts'
import { changeByte, middleEntry, withContent } from '../dossier/tampered.ts'
import { browserOrSkip, closeBrowser } from './chromium.ts'
import { openSavedDossier } from './saved-dossier.ts'
import type { SavedDossier } from './saved-dossier.ts'

const pictures = path.resolve(import.meta.dirname, '../.out')
let office: DossierOffice
let made: MadeDossier
let folder: string

beforeAll(async () => {
  office = await smallOffice('vines.example/journal')
  made = await office.make(await someLot(office))
  folder = await mkdtemp(path.join(tmpdir(), 'canemark-page-'))
  await mkdir(pictures, { recursive: true })
})
afterAll(async () => {
  await closeBrowser()
  await office.drop()
  await rm(folder, { recursive: true, force: true })
})

/** Opens the saved page with the network cut, and waits until it has checked itself. */
async function open(context: TestContext, html: string, prepare = ''): Promise<SavedDossier> {
  const browser = await browserOrSkip(context)
  const file = path.join(folder, 'dossier.html')
  await writeFile(file, html)
  return openSavedDossier(browser, file, prepare)
}

const outcome = (page: Page) => page.locator('#outcome').innerText()
const rows = (page: Page, mark: string) => page.locator(`#checks tr.${mark}`).allInnerTexts()

it('all is right, nothing is asked of the network, and an entry can be read', async (context) => {
  const html = await dossierPage(made.json, made.pdf)
  const { page, asked, close } = await open(context, html)
  try {
    expect(await outcome(page)).toMatch(/^Nothing was changed since it was signed/)
    expect(await rows(page, 'wrong')).toEqual([])
    expect((await rows(page, 'not-checked')).join()).toMatch(/^Whose key it is/)
    expect(asked).toEqual([])
    expect(await page.locator('h1').innerText()).toBe(`Dossier: ${made.content.subject.label}`)
    await page.screenshot({ path: path.join(pictures, 'dossier-right.png') })
    await page.fill('#key', made.content.proof.keys[0]?.key ?? '')
    await page.locator('#key').blur()
    await page.waitForFunction(() => !document.querySelector('#checks tr.not-checked'))
    const { index, entry } = middleEntry(made.content)
    await page.evaluate((at) => void (location.hash = `#entry-${at}`), index)
    await page.waitForSelector(`#entry-${index}[open] pre`)
    expect(await page.locator(`#entry-${index} pre`).innerText()).toBe(entry)
    const saved = page.waitForEvent('download')
    await page.click('#save-json')
    const download = await (await saved).createReadStream()
    const parts: Buffer[] = []
    for await (const part of download) parts.push(Buffer.from(part as Uint8Array))
    expect(Buffer.concat(parts).equals(made.json)).toBe(true)
  } finally {
    await close()
  }
})

it('after one byte of one entry was changed it says which entry', async (context) => {
  const { index } = middleEntry(made.content)
  const text = withContent(made.json, (content) => changeByte(middleEntry(content)))
  const { page, close } = await open(context, await dossierPage(Buffer.from(text), made.pdf))
  try {
    expect(await outcome(page)).toMatch(/^WRONG: /)
    expect(await outcome(page)).toMatch(
      new RegExp(`Every entry in the signed journal: entry ${index} \\(`),
    )
    await page.screenshot({ path: path.join(pictures, 'dossier-changed.png') })
  } finally {
    await close()
  }
})

it('another PDF or key, a proof cut short, a file that is none: each in words', async (context) => {
  const pdf = Buffer.concat([made.pdf, Buffer.from(' ')])
  const { page, close } = await open(context, await dossierPage(made.json, pdf))
  try {
    expect(await outcome(page)).toMatch(/^WRONG: The PDF: it is not the one that was sealed/)
    const known = made.content.proof.keys[0]?.key ?? ''
    await page.setInputFiles('#given-pdf', {
      name: 'given.pdf',
      mimeType: 'application/pdf',
      buffer: made.pdf,
    })
    await page.waitForFunction(() => document.body.dataset.checked === 'right')
    await page.fill('#key', known.replace(/\+[0-9a-f]{8}\+/, '+00000000+'))
    await page.locator('#key').blur()
    await page.waitForFunction(() => document.body.dataset.checked === 'wrong')
    expect(await outcome(page)).toMatch(/^WRONG: Whose key it is: the key that you gave is /)
  } finally {
    await close()
  }
  const short = withContent(made.json, (content) => void middleEntry(content).path.pop())
  const second = await open(context, await dossierPage(Buffer.from(short), made.pdf))
  expect(await outcome(second.page)).toMatch(/its proof has \d+ hashes where \d+ are due/)
  await second.close()
  const third = await open(context, await dossierPage(Buffer.from('{"a":1}'), made.pdf))
  expect(await outcome(third.page)).toMatch(/^WRONG: The file: this is no dossier/)
  await third.close()
})

it('a browser that does not know Ed25519 checks signatures all the same', async (context) => {
  const without = `
    const own = crypto.subtle.importKey.bind(crypto.subtle)
    crypto.subtle.importKey = (form, data, algorithm, ...more) =>
      algorithm.name === 'Ed25519'
        ? Promise.reject(new DOMException('not known', 'NotSupportedError'))
        : own(form, data, algorithm, ...more)`
  const html = await dossierPage(made.json, made.pdf)
  const right = await open(context, html, without)
  expect(await outcome(right.page)).toMatch(/^Nothing was changed/)
  await right.close()
  const sealed = withContent(
    made.json,
    () => {},
    (seal) => seal.replace('pdf sha256', 'pdf  sha256'),
  )
  const wrong = await open(context, await dossierPage(Buffer.from(sealed), made.pdf), without)
  expect(await outcome(wrong.page)).toMatch(/WRONG: The seal: /)
  await wrong.close()
})

it('a script that somebody put into it does not run', async (context) => {
  const html = (await dossierPage(made.json, made.pdf)).replace(
    '<div id="content">',
    '<script>document.body.dataset.taken = "over"</script>$&',
  )
  expect(html).toContain('dataset.taken')
  const { page, close } = await open(context, html)
  expect(await page.evaluate(() => document.body.dataset.taken ?? 'not run')).toBe('not run')
  await close()
})
