// Whoever pulls the journal page by page gets every entry, once, in its exact bytes.
import { afterAll, beforeAll, expect, it } from 'vitest'
import { leafHash } from '../../api/journal/canonical.ts'
import { exportJournal } from '../../api/journal/export.ts'
import { importJournal } from '../../api/journal/import.ts'
import { readJournal } from '../../api/journal/read-journal.ts'
import type { Entry } from '#wire/entry.ts'
import { freshDatabase } from '../database.ts'
import { factsSnapshot } from '../sim/facts-snapshot.ts'
import { randomSeason } from '../sim/season.ts'
import { blockEntry, deviceApp } from './device-app.ts'
import type { DeviceApp } from './device-app.ts'

let api: DeviceApp
let seasonSize = 0
beforeAll(async () => {
  api = await deviceApp()
  const entries = randomSeason(31, 400)
  for (const deviceId of new Set(entries.map(({ device }) => device))) {
    const own = entries.filter(({ device }) => device === deviceId)
    const { results } = await api.push(own, await api.enrol(deviceId))
    seasonSize += results.filter(({ result }) => result === 'recorded').length
  }
  expect(seasonSize).toBeGreaterThan(350)
})
afterAll(() => api.drop())

type Page = {
  lines: { index: number; recordedAt: string; leafHash: string; entry: Entry }[]
  next: number
  size: number
}

async function pageFrom(from: number, limit: number): Promise<Page> {
  const response = await api.get(`/api/journal?from=${from}&limit=${limit}`)
  expect(response.status).toBe(200)
  expect(response.headers.get('link')).toContain('rel="next"')
  return (await response.json()) as Page
}

it('pages follow each other without a gap or a repetition', async () => {
  const indexes: number[] = []
  for (let from = 0; ;) {
    const page = await pageFrom(from, 37)
    expect(page.size).toBe(seasonSize)
    indexes.push(...page.lines.map(({ index }) => index))
    if (page.lines.length === 0) break
    from = page.next
  }
  expect(indexes).toEqual(Array.from({ length: seasonSize }, (_, nr) => nr))
})

it('a puller that follows while three devices push skips nothing', async () => {
  const devices = [await api.enrol(), await api.enrol(), await api.enrol()]
  const ids = new Set<string>()
  const started = (await pageFrom(0, 1)).size
  const pushing = devices.map(async (device) => {
    for (let batch = 0; batch < 15; batch += 1) {
      const entries = [blockEntry(device), blockEntry(device), blockEntry(device)]
      for (const { id } of entries) ids.add(id)
      await api.push(entries, device)
    }
  })
  const seen: string[] = []
  let isOver = false
  const over = Promise.all(pushing).then(() => {
    isOver = true
  })
  for (let next = started; ;) {
    const wasOver = isOver
    const page = await pageFrom(next, 4)
    seen.push(...page.lines.map(({ entry }) => entry.id))
    next = page.next
    if (wasOver && page.lines.length === 0) break
  }
  await over
  expect(seen).toHaveLength(3 * 15 * 3)
  expect(new Set(seen)).toEqual(ids)
})

it('lines alone, page after page and closed, are a file that an empty database takes', async () => {
  const { size } = await pageFrom(0, 1)
  let text = ''
  for (let from = 0; from < size; from += 250) {
    const path = `/api/journal?from=${from}&limit=250`
    const response = await api.get(path, api.device, 'application/x-ndjson')
    expect(response.headers.get('content-type')).toBe('application/x-ndjson')
    text += await response.text()
  }
  text += `{"end":${size}}\n`
  let exported = ''
  for await (const piece of exportJournal(api.services.db)) exported += piece
  expect(text).toBe(exported)
  const mirror = await freshDatabase()
  try {
    const bytes = new TextEncoder().encode(text)
    await importJournal(
      mirror.owner.db,
      (async function* () {
        yield bytes
      })(),
    )
    expect(await factsSnapshot(mirror.app.db)).toEqual(await factsSnapshot(api.services.db))
  } finally {
    await mirror.drop()
  }
})

it('in a page too, each entry stands as the bytes that were hashed', async () => {
  const response = await api.get('/api/journal?from=5&limit=1')
  const text = await response.text()
  const { lines } = JSON.parse(text) as Page
  const start = text.indexOf('"entry":') + '"entry":'.length
  const entry = text.slice(start, text.lastIndexOf('}],"next"'))
  expect(leafHash(Buffer.from(entry, 'utf8')).toString('hex')).toBe(lines[0]?.leafHash)
})

it('asking beyond the end gives nothing and the same place again', async () => {
  expect(await pageFrom(1_000_000, 10)).toMatchObject({ lines: [], next: 1_000_000 })
})

it.each([
  ['from=-1', 'from'],
  ['from=1.5', 'from'],
  ['from=', 'from'],
  ['from=9007199254740993', 'from'],
  ['limit=0', 'limit'],
  ['limit=1001', 'limit'],
  ['limit=ten', 'limit'],
  ['form=1', 'query'],
])('a page asked for by %s is refused, naming the parameter', async (query, field) => {
  const response = await api.get(`/api/journal?${query}`)
  expect(response.status).toBe(400)
  expect(await response.json()).toMatchObject({ code: 'bad_parameter', fields: [{ field }] })
})

it('a page never grows beyond its bytes, yet always goes on', async () => {
  const { db } = api.services
  const indexes: number[] = []
  for (let from = 0; from < seasonSize;) {
    const page = await readJournal(db, { from, limit: 1000, byteLimit: 1500 })
    const bytes = page.rows.reduce((sum, { canonical }) => sum + canonical.length, 0)
    if (page.rows.length > 1) expect(bytes).toBeLessThanOrEqual(1500)
    indexes.push(...page.rows.map(({ index }) => index).filter((index) => index < seasonSize))
    expect(page.next).toBeGreaterThan(from)
    from = page.next
  }
  expect(indexes).toEqual(Array.from({ length: seasonSize }, (_, nr) => nr))
  const small = await readJournal(db, { from: 0, limit: 1000, byteLimit: 1 })
  expect(small.rows).toHaveLength(1)
})
