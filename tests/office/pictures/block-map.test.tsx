// That a block map draws every vine once, readably, safely, and with its numbers in a table.
import fc from 'fast-check'
import { Hono } from 'hono'
import { html, raw } from 'hono/html'
import { PNG } from 'pngjs'
import { afterAll, expect, test } from 'vitest'
import { BAND_TINT, QUIET_INK } from '../../../api/office/pictures/block-map-ground.ts'
import {
  BLOCK_MAP_PLACE_LIMIT,
  PLACE_WIDTH,
  blockMapSheets,
  layOutBlock,
} from '../../../api/office/pictures/block-map-layout.ts'
import { VINE_LINK_LIMIT } from '../../../api/office/pictures/block-map-links.ts'
import { signInk } from '../../../api/office/pictures/block-map-signs.ts'
import { blockMapTable } from '../../../api/office/pictures/block-map-table.tsx'
import {
  blockCounts,
  stateCounts,
  vineStateNames,
  vineStates,
  vineWords,
} from '../../../api/office/pictures/block-map-vines.ts'
import { blockMapSvg } from '../../../api/office/pictures/block-map.ts'
import { assets } from '../../../api/office/assets.ts'
import type { Env } from '../../../api/platform/services.ts'
import { checkPage } from '../../browser/check-page.ts'
import { browserOrSkip, closeBrowser, serveApp } from '../../browser/chromium.ts'
import { blockOf, hostileText, rowOf, vineAt } from './block-map-samples.ts'
import { svgFacts } from './svg-check.ts'

const links = {
  vineHref: (rowId: string, position: number) => `/blocks/b/${rowId}/${position}`,
  rowHref: (rowId: string) => `/blocks/b?row=${rowId}`,
}

afterAll(closeBrowser)

test('every place is drawn once in its state, and each vine has words and link', async (ctx) => {
  const page = await (await browserOrSkip(ctx)).newPage()
  const rows = [rowOf(1, 30, null), { ...rowOf(2, 41, null), vines: [] }, rowOf(3, 7, null)]
  const block = { blockName: 'Lower terrace', rows }
  const facts = await svgFacts(page, blockMapSvg(block, links))
  expect(facts.error).toBeNull()
  expect(facts.signs).toEqual(blockCounts(rows))
  expect(facts.signs.empty).toBeGreaterThanOrEqual(41)
  const ofVines = facts.titles.filter((title) => /^Row \d+, vine/.test(title))
  expect(ofVines).toHaveLength(30 + 41 + 7)
  expect(new Set(ofVines).size).toBe(30 + 41 + 7)
  expect(facts.hrefs).toContain('/blocks/b/row-3/7')
  expect(facts.hrefs).toContain('/blocks/b?row=row-2')
})

test('a vine’s words say row, position, state, variety, lot and day', () => {
  const row = { ...rowOf(12, 60, null), headAt: null }
  const words = (state: (typeof vineStateNames)[number]): string =>
    vineWords(row, { ...vineAt(34, state), varietyName: null }, false)
  expect(words('growing')).toBe('Row 12, vine 34: growing, lot 26-014, grafted 3 April 2026')
  expect(words('grafted')).toBe(
    'Row 12, vine 34: grafted 3 April 2026, not yet checked, lot 26-014',
  )
  expect(words('skipped')).toBe('Row 12, vine 34: skipped, lot 26-014, on 3 April 2026')
  expect(vineWords(row, vineAt(34, 'failed'), true)).toBe(
    'Row 12, vine 34 (27 from the far end): failed, Albariño, lot 26-014, grafted 3 April 2026',
  )
  const bare = {
    position: 3,
    state: 'empty',
    lotReference: null,
    varietyName: null,
    at: null,
  } as const
  expect(vineWords(row, bare, false)).toBe('Row 12, vine 3: empty place')
})

test('100 rows of 200 vines take at most 2 MB in any state, with sums by row', async (ctx) => {
  const page = await (await browserOrSkip(ctx)).newPage()
  const block = blockOf(100, 200)
  for (const state of vineStateNames) {
    const rows = block.rows.map((row) => ({
      ...row,
      vines: row.vines.map((vine) => ({ ...vine, state })),
    }))
    expect(blockMapSvg({ ...block, rows }, links).length).toBeLessThan(2_000_000)
  }
  const facts = await svgFacts(page, blockMapSvg(block, links))
  expect(facts.error).toBeNull()
  expect(Object.values(facts.signs).reduce((sum, count) => sum + count, 0)).toBe(20_000)
  const sums = facts.titles.filter((title) => title.startsWith('Row 57: 200 places: '))
  expect(sums.length).toBeGreaterThan(0)
  expect(facts.titles.some((title) => title.includes(', vine '))).toBe(false)
})

test('up to the limit of places each vine has a tooltip, at most 2 MB in all', () => {
  const block = blockOf(VINE_LINK_LIMIT / 100, 100)
  const svg = blockMapSvg(block, links)
  expect(svg.match(/, vine \d+:/g)).toHaveLength(VINE_LINK_LIMIT)
  expect(svg.length).toBeLessThan(2_000_000)
})

test('more places than the limit are refused with the way out, and the sheets are drawn', () => {
  const block = blockOf(201, 200)
  expect(() => blockMapSvg(block)).toThrow(RangeError)
  expect(() => blockMapSvg(block)).toThrow(`limit is ${BLOCK_MAP_PLACE_LIMIT}: draw it in sheets`)
  for (const sheet of blockMapSheets(block, 100, 100)) {
    expect(blockMapSvg(block, { sheet })).toContain('this part: rows')
  }
})

test('sheets together show every place exactly once, whatever the row lengths and ends', () => {
  const row = fc.tuple(fc.integer({ min: 1, max: 60 }), fc.constantFrom('road', 'wood', null))
  const arrangement = fc.record({
    rows: fc.array(row, { minLength: 1, maxLength: 30 }),
    rowsPerSheet: fc.integer({ min: 1, max: 12 }),
    columnsPerSheet: fc.integer({ min: 1, max: 25 }),
    countFrom: fc.constantFrom('head' as const, 'far' as const),
  })
  fc.assert(
    fc.property(arrangement, ({ rows, rowsPerSheet, columnsPerSheet, countFrom }) => {
      const made = rows.map(([count, headAt], index) => rowOf(index + 1, count, headAt))
      const block = { blockName: 'B', rows: made }
      const shown = blockMapSheets(block, rowsPerSheet, columnsPerSheet).flatMap((sheet) =>
        layOutBlock(block, countFrom, { x: 0, y: 0 }, sheet).rows.flatMap((placed) =>
          placed.vines.map(({ vine }) => `${placed.row.label}/${vine.position}`),
        ),
      )
      const all = made.flatMap((each) => each.vines.map((v) => `${each.label}/${v.position}`))
      expect(shown.sort()).toEqual(all.sort())
    }),
  )
})

test('positions run from the head, and the numbers on the edge fit them from either end', () => {
  const row = fc.tuple(fc.integer({ min: 1, max: 60 }), fc.constantFrom('road', 'wood'))
  fc.assert(
    fc.property(fc.array(row, { minLength: 1, maxLength: 20 }), (rows) => {
      const made = rows.map(([count, headAt], index) => rowOf(index + 1, count, headAt))
      for (const countFrom of ['head', 'far'] as const) {
        const layout = layOutBlock({ blockName: 'B', rows: made }, countFrom, { x: 0, y: 0 })
        for (const placed of layout.rows) {
          for (const { vine, at } of placed.vines) {
            const count = placed.row.positionCount
            const number = countFrom === 'head' ? vine.position : count + 1 - vine.position
            const column = Math.floor(at.x / PLACE_WIDTH) + 1
            const fromLeft = placed.originSide === 'left'
            expect(fromLeft ? column : layout.columnCount + 1 - column).toBe(number)
            const first = placed.vines[0]?.at.x ?? 0
            expect(Math.sign(at.x - first)).toBe(
              vine.position === 1 ? 0 : placed.headSide === 'left' ? 1 : -1,
            )
          }
        }
      }
    }),
  )
})

test('vines recorded beyond their row’s end are said and not drawn over other places', () => {
  const row = { ...rowOf(4, 10, null), vines: [vineAt(3, 'growing'), vineAt(11, 'failed')] }
  const svg = blockMapSvg({ blockName: 'B', rows: [row] })
  expect(svg).toContain('Not drawn, because the row is shorter: row 4, vine 11.')
  expect(svg).not.toContain('data-state="failed"')
  const table = String(
    blockMapTable({ block: { blockName: 'B', rows: [row] }, openRowId: row.rowId }),
  )
  expect(table).toContain('outside the row')
})

test('names from outside cannot become markup, and links cannot leave the site', async (ctx) => {
  const page = await (await browserOrSkip(ctx)).newPage()
  const vine = { ...vineAt(1, 'growing'), lotReference: hostileText, varietyName: hostileText }
  const row = {
    ...rowOf(1, 2, hostileText),
    label: hostileText,
    vines: [{ ...vine, at: hostileText }],
  }
  const block = { blockName: hostileText, rows: [row] }
  for (const href of ['javascript:alert(1)', '//evil.example/x', '/\\evil.example', 'data:x']) {
    const facts = await svgFacts(
      page,
      blockMapSvg(block, { vineHref: () => href, rowHref: () => href }),
    )
    expect(facts.error).toBeNull()
    expect(facts.elements).not.toContain('script')
    expect(facts.active).toEqual([])
    expect(facts.hrefs.every((target) => target.startsWith('#'))).toBe(true)
    expect(facts.texts.join()).toContain('"><script>alert(1)</script></svg>')
  }
})

// Relative luminance and contrast ratio as defined in WCAG 2.2.
function contrast(one: string, other: string): number {
  const luminance = (colour: string): number => {
    const channels = [1, 3, 5].map((start) => parseInt(colour.slice(start, start + 2), 16) / 255)
    const [red = 0, green = 0, blue = 0] = channels.map((channel) =>
      channel <= 0.04045 ? channel / 12.92 : ((channel + 0.055) / 1.055) ** 2.4,
    )
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue
  }
  const [dark = 0, light = 0] = [luminance(one), luminance(other)].sort((a, b) => a - b)
  return (light + 0.05) / (dark + 0.05)
}

test('every sign reaches 3 : 1 and every word 4.5 : 1 against both grounds (WCAG 2.2)', () => {
  expect(contrast('#000000', '#ffffff')).toBeCloseTo(21)
  for (const ground of ['#ffffff', BAND_TINT]) {
    for (const ink of Object.values(signInk)) {
      expect(contrast(ink, ground)).toBeGreaterThanOrEqual(3)
    }
    expect(contrast(QUIET_INK, ground)).toBeGreaterThanOrEqual(4.5)
  }
})

test('without colour each state still has a sign of its own', async (ctx) => {
  const page = await (await browserOrSkip(ctx)).newPage({ deviceScaleFactor: 4 })
  const pictures = new Map<string, PNG>()
  for (const state of vineStateNames) {
    const row = { ...rowOf(1, 1, null), vines: [vineAt(1, state)] }
    const svg = blockMapSvg({ blockName: 'B', rows: [row] })
    await page.setContent(svg.replaceAll(signInk[state], '#000'))
    // The key's sign comes first, the vine's last.
    const box = await page.locator('[data-state]').last().boundingBox()
    if (box === null) throw new Error(`no sign is drawn for ${state}`)
    const middle = { x: box.x + box.width / 2, y: box.y + box.height / 2 }
    const clip = { x: middle.x - 6, y: middle.y - 6, width: 12, height: 12 }
    pictures.set(state, PNG.sync.read(await page.screenshot({ clip })))
  }
  for (const [one, first] of pictures) {
    for (const [other, second] of pictures) {
      if (one >= other) continue
      expect(differingShare(first, second), `${one} and ${other}`).toBeGreaterThan(0.04)
    }
  }
})

// The share of pixels of which one is dark and the other light.
function differingShare(one: PNG, other: PNG): number {
  let differing = 0
  const pixels = one.width * one.height
  for (let pixel = 0; pixel < pixels; pixel += 1) {
    const [left = 255, right = 255] = [one.data[pixel * 4], other.data[pixel * 4]]
    if (left < 128 !== right < 128) differing += 1
  }
  return differing / pixels
}

test('map and table make a valid, accessible page, and two maps share no id', async (ctx) => {
  const block = { blockName: 'Lower terrace', rows: [rowOf(1, 30, 'road'), rowOf(2, 25, 'wood')] }
  const first = blockMapSvg(block, links)
  const second = blockMapSvg(block, { ...links, countFrom: 'far', idPrefix: 'from-far' })
  const app = new Hono<Env>()
  app.route('/assets', assets)
  app.get('/', (c) =>
    c.html(
      html`<!doctype html>${(
          <html lang="en">
            <head>
              <meta charset="utf-8" />
              <title>Block</title>
              <link rel="stylesheet" href="/assets/office.css" />
            </head>
            <body>
              <main>
                <h1>Block</h1>
                <figure>{raw(first)}</figure>
                <figure>{raw(second)}</figure>
                {blockMapTable({ block, ...links, openRowId: 'row-2' })}
              </main>
            </body>
          </html>
        )}`,
    ),
  )
  const serving = await serveApp(app)
  try {
    const page = await (await browserOrSkip(ctx)).newPage()
    await page.goto(serving.url)
    await checkPage(page)
    const named = page.getByRole('img', { name: 'Map of block Lower terrace' })
    expect(await named.count()).toBe(2)
  } finally {
    await serving.stop()
  }
})

test('an id prefix that would not do in a reference is refused', () => {
  expect(() => blockMapSvg(blockOf(1, 1), { idPrefix: 'a"b' })).toThrow('id prefix')
})

test('the table holds the numbers of the map: by row, by state, and in all', async (ctx) => {
  const page = await (await browserOrSkip(ctx)).newPage()
  const rows = [rowOf(2, 30, 'road'), rowOf(1, 25, null)]
  const block = { blockName: 'Lower terrace', rows }
  await page.setContent(String(blockMapTable({ block, ...links, openRowId: 'row-2' })))
  const cells = await page
    .locator('table')
    .first()
    .locator('tr')
    .evaluateAll((lines) => lines.map((line) => [...line.children].map((cell) => cell.textContent)))
  const heads = cells[0]?.slice(3).map((head) => head?.toLowerCase())
  expect(heads).toEqual(vineStateNames.map((state) => vineStates[state]))
  const numbersOf = (counts: Record<string, number>): string[] =>
    vineStateNames.map((state) => `${counts[state]}`)
  const [first, second] = [rowOf(1, 25, null), rowOf(2, 30, 'road')]
  expect(cells.slice(1)).toEqual([
    ['1', '', '25', ...numbersOf(stateCounts(first))],
    ['2', 'road', '30', ...numbersOf(stateCounts(second))],
    ['All rows', '', '55', ...numbersOf(blockCounts(rows))],
  ])
  const listed = page.locator('table').nth(1).locator('tbody tr')
  expect(await listed.count()).toBe(30)
  expect(await listed.nth(4).innerText()).toMatch(/5\s+26\s+.*Albariño\s+26-014\s+3 April 2026/)
  expect(await listed.nth(4).locator('a').getAttribute('href')).toBe('/blocks/b/row-2/5')
})
