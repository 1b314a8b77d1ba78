// The journal proof that goes with a print, and the line at the foot of papers, from the office.
import { mkdtemp, rm } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import path from 'node:path'
import { afterAll, beforeAll, expect, it } from 'vitest'
import { lastCheckpoint } from '../../api/journal/checkpoints.ts'
import { signNow } from '../../api/journal/keep-signing.ts'
import { reckonPrints } from '../../api/labels/reckoning.ts'
import { officeApp } from '../office-app.ts'
import type { OfficeApp } from '../office-app.ts'
import { readWithZxing, rasterise } from '../labels/read-labels.ts'
import { requireTool } from '../tools.ts'

let office: OfficeApp
let folder: string
let print: string

beforeAll(async () => {
  office = await officeApp()
  folder = await mkdtemp(path.join(tmpdir(), 'canemark-print-'))
  const nowhere = { sendToFolder: null, sendToUrl: null, mail: null, stamps: null }
  const proof = { keyFolder: folder, keyName: 'vines.example/journal', ...nowhere }
  Object.assign(office.services, { proof })
  const roll = { form: 'Roll 100 × 25 mm', count: '5' }
  const made = await office.post('/tags/roll', roll)
  print = (made.headers.get('location') ?? '').replace(/\?.*/, '')
})
afterAll(async () => {
  await office.drop()
  await rm(folder, { recursive: true, force: true })
})

async function pageOf(at: string): Promise<string> {
  const response = await office.app.request(at)
  expect(response.status).toBe(200)
  return response.text()
}

async function pdfOf(query: Record<string, string>): Promise<Buffer> {
  const asked = new URLSearchParams(query).toString()
  const response = await office.app.request(`${print}/labels.pdf?${asked}`)
  return Buffer.from(await response.arrayBuffer())
}

async function pagesIn(query: Record<string, string>): Promise<number> {
  const pdf = await pdfOf(query)
  return pdf.toString('latin1').match(/\/Type \/Page\b/g)?.length ?? 0
}

const papers = ['/custody/audit']

it('before anything is signed no proof is printed, and the page says so', async () => {
  expect(await pagesIn({ proof: 'yes' })).toBe(5)
  const page = await pageOf(print)
  expect(page).toContain('Nothing is signed yet, so no journal proof is printed.')
  expect(page).not.toContain('name="proof"')
  for (const paper of papers) expect(await pageOf(paper)).not.toContain('on-paper')
})

it('then it comes behind the tags of a roll unless left out, and counts nowhere', async () => {
  const before = await reckonPrints(office.services.db)
  await signNow(office.services)
  expect(await pagesIn({})).toBe(6)
  expect(await pagesIn({ proof: 'no' })).toBe(5)
  expect(await pageOf(print)).toContain('It is no tag and counts as none.')
  expect(await pageOf(`${print}?proof=no`)).not.toContain('counts as none')
  expect(await reckonPrints(office.services.db)).toEqual(before)
})

it('on a sheet it takes a free label only when asked for', async (context) => {
  requireTool(context, 'pdftoppm')
  const sheet = { form: 'Sheet A4, 2 × 4, 105 × 74 mm', dpi: '300' }
  const read = async (query: Record<string, string>) => {
    const [picture = Buffer.alloc(0)] = await rasterise(await pdfOf(query), 300)
    return (await readWithZxing(picture)).map(({ text }) => text)
  }
  const { note = '' } = (await lastCheckpoint(office.services.db)) ?? {}
  expect(await read({ ...sheet, proof: 'yes' })).toContain(note)
  expect(await read(sheet)).not.toContain(note)
  const full = new URLSearchParams({ ...sheet, proof: 'yes', used: '3' }).toString()
  expect(await pageOf(`${print}?${full}`)).toContain('The last sheet has no free label')
})

it('the office knows its text for what it is, run together and by its first line too', async () => {
  const { note = '', size } = (await lastCheckpoint(office.services.db)) ?? {}
  for (const text of [note, note.replaceAll('\n', ''), 'vines.example/journal']) {
    const page = await pageOf(`/find?q=${encodeURIComponent(text)}`)
    expect(page).toContain('This is a journal proof, not a tag')
  }
  expect(await pageOf(`/find?q=${encodeURIComponent(note)}`)).toContain(`(${size})`)
})

it('papers carry one line of what was signed', async () => {
  const { size, root } = (await lastCheckpoint(office.services.db)) ?? {}
  const begins = root?.toString('base64').slice(0, 16)
  for (const paper of papers) {
    expect(await pageOf(paper)).toContain(`Journal: ${size} entries, root ${begins}…, signed `)
  }
})
