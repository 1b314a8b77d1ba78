// A saved dossier page checks the signatures of phones in a real browser without any network.
import { mkdir, mkdtemp, rm, writeFile } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import path from 'node:path'
import { afterAll, beforeAll, expect, it } from 'vitest'
import type { TestContext } from 'vitest'
import type { DossierContent } from '../../api/dossier/dossier-shape.ts'
import type { MadeDossier } from '../../api/dossier/make.ts'
import { dossierPage } from '../../api/dossier/page.ts'
import { indexOfEntry, signedOffice } from '../dossier/signed-office.ts'
import type { SignedOffice } from '../dossier/signed-office.ts'
import { withContent } from '../dossier/tampered.ts'
import { browserOrSkip, closeBrowser } from './chromium.ts'
import { openSavedDossier } from './saved-dossier.ts'

const pictures = path.resolve(import.meta.dirname, '../.out')
let office: SignedOffice
let made: MadeDossier
let folder: string

beforeAll(async () => {
  office = await signedOffice('vines.example/journal')
  made = await office.make()
  folder = await mkdtemp(path.join(tmpdir(), 'canemark-phones-'))
  await mkdir(pictures, { recursive: true })
})
afterAll(async () => {
  await closeBrowser()
  await office.drop()
  await rm(folder, { recursive: true, force: true })
})

type Said = { wrong: Record<string, string>; phones: string; asked: string[] }

/** What the saved page says of a file, opened with the network cut. */
async function saidOf(ctx: TestContext, json: Buffer | string, pdf: Buffer): Promise<Said> {
  const browser = await browserOrSkip(ctx)
  const file = path.join(folder, 'dossier.html')
  await writeFile(file, await dossierPage(Buffer.from(json), pdf))
  const { page, asked, close } = await openSavedDossier(browser, file)
  try {
    await page.screenshot({ path: path.join(pictures, 'dossier-phones.png') })
    const rows = await page.locator('#checks tr').evaluateAll((all) =>
      all.map((row) => ({
        name: row.querySelector('th')?.textContent ?? '',
        isWrong: row.classList.contains('wrong'),
        words: row.querySelector('td:last-child')?.textContent ?? '',
      })),
    )
    const wrong = rows.flatMap(({ name, isWrong, words }) => (isWrong ? [[name, words]] : []))
    return {
      wrong: Object.fromEntries(wrong) as Record<string, string>,
      phones: rows.find(({ name }) => name === 'Signatures of phones')?.words ?? '',
      asked,
    }
  } finally {
    await close()
  }
}

it('what a phone signed with its own key is confirmed, and no network is asked', async (ctx) => {
  const { wrong, phones, asked } = await saidOf(ctx, made.json, made.pdf)
  expect(wrong).toEqual({})
  expect(phones).toMatch(new RegExp(`^${office.signedIds.length} entries signed; `))
  expect(asked).toEqual([])
})

it('one byte of a signature changed: that entry is named by its index', async (ctx) => {
  const index = indexOfEntry(made, office.signedIds[2] ?? '')
  const text = withContent(made.json, (content) => changeSignature(entryAt(content, index)))
  const { wrong } = await saidOf(ctx, text, made.pdf)
  expect(Object.keys(wrong)).toEqual([
    'Rules and tables',
    'Every entry in the signed journal',
    'Signatures of phones',
  ])
  expect(wrong['Signatures of phones']).toBe(
    `entry ${index}: its signature fits no key of its device`,
  )
  expect(wrong['Every entry in the signed journal']).toMatch(new RegExp(`^entry ${index} `))
})

it('another phone’s key in place of the enrolled one: its entries are named', async (ctx) => {
  const { index: told } = enrolled(made.content)
  const text = withContent(made.json, (content) => exchangeKey(enrolled(content)))
  const { wrong } = await saidOf(ctx, text, made.pdf)
  const [first = 0] = office.signedIds.map((id) => indexOfEntry(made, id))
  expect(wrong['Signatures of phones']).toContain(`entry ${first}: its signature fits no key`)
  expect(wrong['Signatures of phones']).toMatch(/; and 1 more$/)
  expect(wrong['Every entry in the signed journal']).toMatch(
    new RegExp(`^entry ${told} \\(device.enrolled\\)`),
  )
})

it('an entry cut short so that nobody can read it is named by its index', async (ctx) => {
  const index = indexOfEntry(made, office.signedIds[1] ?? '')
  const text = withContent(made.json, (content) => {
    const entry = entryAt(content, index)
    entry.entry = entry.entry.slice(0, 40)
  })
  const { wrong } = await saidOf(ctx, text, made.pdf)
  expect(wrong['Signatures of phones']).toContain(`entry ${index}: it, or the key`)
})

it('an entry of the journal that another phone signed is named, though proven', async (ctx) => {
  const index = await office.forge().then(async (id) => {
    made = await office.make()
    return indexOfEntry(made, id)
  })
  const { wrong } = await saidOf(ctx, made.json, made.pdf)
  expect(wrong).toEqual({
    'Signatures of phones': `entry ${index}: its signature fits no key of its device`,
  })
})

function entryAt({ proof }: DossierContent, index: number) {
  const found = proof.entries.find((entry) => entry.index === index)
  if (found === undefined) throw new Error(`no entry ${index}`)
  return found
}

/** The first character of the signature becomes another, so that its first byte does. */
function changeSignature(entry: { entry: string }): void {
  entry.entry = entry.entry.replace(
    /"signature":"(.)/,
    (_, first: string) => `"signature":"${first === 'A' ? 'B' : 'A'}`,
  )
}

function enrolled({ proof }: DossierContent) {
  const found = proof.entries.find(({ entry }) => entry.includes('"kind":"device.enrolled"'))
  if (found === undefined) throw new Error('no entry tells a key')
  return found
}

function exchangeKey(entry: { entry: string }): void {
  entry.entry = entry.entry.replace(/"publicKey":"[^"]+"/, () => `"publicKey":"${office.otherKey}"`)
}
