// That a lineage picture shows each record and share, reads well, and cannot carry foreign markup.
import { Hono } from 'hono'
import { html, raw } from 'hono/html'
import { afterAll, expect, test } from 'vitest'
import { assets } from '../../../api/office/assets.ts'
import { foldLineage } from '../../../api/office/pictures/lineage-fold.ts'
import { placeLineage, type Size } from '../../../api/office/pictures/lineage-layout.ts'
import type { LineageGraph } from '../../../api/office/pictures/lineage-graph.ts'
import { lineageTable } from '../../../api/office/pictures/lineage-table.tsx'
import { lineageSvg } from '../../../api/office/pictures/lineage.ts'
import type { Env } from '../../../api/platform/services.ts'
import { checkPage } from '../../browser/check-page.ts'
import { browserOrSkip, closeBrowser, serveApp } from '../../browser/chromium.ts'
import { hostileText } from './block-map-samples.ts'
import { link, recallOf, record, season } from './lineage-samples.ts'
import { svgFacts } from './svg-check.ts'

const title = 'Lineage of lot 26-031'

afterAll(closeBrowser)

test('every record is named with its link, every share with its exact fraction', async (ctx) => {
  const page = await (await browserOrSkip(ctx)).newPage()
  const facts = await svgFacts(page, await lineageSvg(season, { title }))
  expect(facts.error).toBeNull()
  for (const node of season.nodes) {
    expect(facts.texts).toContain(node.label)
    expect(facts.hrefs.includes(node.href ?? 'none')).toBe(node.href !== null)
  }
  expect(facts.texts).toEqual(expect.arrayContaining(['62.5 %', '37.5 %', 'lot · in question']))
  expect(facts.titles).toContain('26-014 to of 7 March 2026: 62.5 %, 5/8')
  expect(facts.titles).toContain('lot · in question: 26-031. 192 sticks')
  expect(facts.titles[0]).toBe(title)
  expect(facts.texts.join()).toContain('broken lines: contact only')
})

test('a folded lineage says how many records there are and each stack holds', async (ctx) => {
  const page = await (await browserOrSkip(ctx)).newPage()
  const graph = recallOf(1799)
  const facts = await svgFacts(page, await lineageSvg(graph, { title }))
  expect(facts.error).toBeNull()
  expect(facts.texts.join()).toMatch(/2,000 records · drawn as \d+: a stack holds several/)
  const stacks = foldLineage(graph).nodes.filter((node) => node.members.length > 1)
  expect(stacks.length).toBeGreaterThan(0)
  expect(facts.texts.filter((text) => text.startsWith('stack'))).toHaveLength(stacks.length)
  const rows = stacks.find((stack) => stack.kind === 'graftGroup')?.members.length ?? 0
  expect(facts.texts).toContain(`${rows} groups of grafts`)
  expect(facts.texts).toContain(`${(rows * 57).toLocaleString('en')} vines`)
  expect(facts.texts).toContain('50 % each')
})

test('names from outside cannot become markup, and links cannot leave the site', async (ctx) => {
  const page = await (await browserOrSkip(ctx)).newPage()
  const hrefs = ['javascript:alert(1)', '//evil.example', 'https://evil.example', 'x" onload="y']
  const graph: LineageGraph = {
    nodes: hrefs.map((href, at) =>
      record(`${hostileText}${at}`, 'lot', hostileText, {
        detail: hostileText,
        href,
        focus: at === 0,
      }),
    ),
    edges: [link(`${hostileText}0`, `${hostileText}1`, hostileText, '\\N \\G <b>&lt;</b>')],
  }
  const facts = await svgFacts(page, await lineageSvg(graph, { title: hostileText }))
  expect(facts.error).toBeNull()
  expect(facts.elements).toEqual(['desc', 'g', 'path', 'rect', 'svg', 'text', 'title'].sort())
  expect(facts.active).toEqual([])
  expect(facts.hrefs).toEqual([])
  expect(new Set(facts.ids).size).toBe(facts.ids.length)
  expect(facts.titles.join()).toContain('\\N \\G <b>&lt;</b>')
})

test('arrows lead from sign to sign as asked, and no sign covers another', async () => {
  const fold = foldLineage(recallOf(500))
  const sizes: Size[] = fold.nodes.map((_, at) => ({ width: 60 + (at % 7) * 15, height: 40 }))
  const arrows = fold.edges.map(({ from, to }, at) => ({
    from,
    to,
    labelSize: at % 3 === 0 ? { width: 40, height: 15 } : null,
  }))
  // Asked for in the opposite order, so that nothing rests on the order of Graphviz's answer.
  arrows.reverse()
  const placed = await placeLineage(sizes, arrows)
  for (const [at, arrow] of placed.arrows.entries()) {
    const start = arrow.curve[0] ?? { x: Number.NaN, y: Number.NaN }
    expect(distanceToSign(start, arrows[at]?.from ?? -1)).toBeLessThan(3)
    expect(distanceToSign(arrow.tip, arrows[at]?.to ?? -1)).toBeLessThan(3)
    expect(arrow.label === null).toBe(arrows[at]?.labelSize === null)
  }
  for (const [one, first] of placed.signs.entries()) {
    for (const [other, second] of placed.signs.entries()) {
      if (one >= other) continue
      const apartX = Math.abs(first.x - second.x) - halfSum(one, other, 'width')
      const apartY = Math.abs(first.y - second.y) - halfSum(one, other, 'height')
      expect(Math.max(apartX, apartY)).toBeGreaterThan(0)
    }
  }

  function distanceToSign(point: { x: number; y: number }, at: number): number {
    const middle = placed.signs[at] ?? { x: Number.NaN, y: Number.NaN }
    const size = sizes[at] ?? { width: 0, height: 0 }
    const dx = Math.max(0, Math.abs(point.x - middle.x) - size.width / 2)
    const dy = Math.max(0, Math.abs(point.y - middle.y) - size.height / 2)
    return Math.hypot(dx, dy)
  }

  function halfSum(one: number, other: number, side: 'width' | 'height'): number {
    return ((sizes[one]?.[side] ?? 0) + (sizes[other]?.[side] ?? 0)) / 2
  }
})

test('words stay inside their signs and labels in a real browser', async (ctx) => {
  const page = await (await browserOrSkip(ctx)).newPage()
  const wide = 'WMWMWM WMWMWM WMWMWM WMWMWM'
  const nodes = season.nodes.map((node) => ({
    ...node,
    label: `${node.label} ${wide}`,
    detail: wide,
  }))
  for (const graph of [season, { ...season, nodes }]) {
    await page.setContent(await lineageSvg(graph, { title }))
    const overflow = await page.locator('svg a, svg g[role=img]').evaluateAll((signs) =>
      signs.flatMap((sign) => {
        const shape = sign.querySelector('path')?.getBoundingClientRect()
        return [...sign.querySelectorAll('text')].filter((text) => {
          const box = text.getBoundingClientRect()
          return shape === undefined || box.left < shape.left || box.right > shape.right
        }).length
      }),
    )
    expect(overflow).toHaveLength(season.nodes.length)
    expect(overflow.every((count) => count === 0)).toBe(true)
  }
})

test('an empty lineage and a single record are drawn too', async () => {
  expect(await lineageSvg({ nodes: [], edges: [] }, { title })).toContain('0 records')
  const alone = { nodes: [record('a', 'stock', 'Batch 7')], edges: [] }
  expect(await lineageSvg(alone, { title })).toContain('>Batch 7</text>')
})

test('the table holds every record and every link, and names the stack of each', async (ctx) => {
  const page = await (await browserOrSkip(ctx)).newPage()
  const graph = recallOf(300)
  await page.setContent(String(lineageTable({ graph, title })))
  const [records, links] = [page.locator('table').first(), page.locator('table').nth(1)]
  const cells = await records
    .locator('tbody tr')
    .evaluateAll((lines) => lines.map((line) => [...line.children].map((cell) => cell.textContent)))
  expect(cells.map((line) => line[0])).toEqual(graph.nodes.map((node) => node.label))
  const stackOf = new Map(
    foldLineage(graph).nodes.flatMap(({ members }) =>
      members.map(({ id }) => [id, members.length] as const),
    ),
  )
  for (const [at, node] of graph.nodes.entries()) {
    const size = stackOf.get(node.id)
    const words = size === 1 ? 'by itself' : `stack of ${size} `
    expect(cells[at]?.[3]?.startsWith(words)).toBe(true)
  }
  const drawn = await links
    .locator('tbody tr')
    .evaluateAll((lines) => lines.map((line) => [...line.children].map((cell) => cell.textContent)))
  const labels = new Map(graph.nodes.map((node) => [node.id, node.label]))
  expect(drawn).toEqual(
    graph.edges.map((edge) => [
      labels.get(edge.from),
      labels.get(edge.to),
      edge.label ?? '',
      edge.detail ?? '',
    ]),
  )
  expect(await records.locator('caption').innerText()).toBe(`${title}: 501 records`)
})

test('picture and table make a valid, accessible page, reached by keyboard', async (ctx) => {
  const picture = await lineageSvg(season, { title })
  const other = await lineageSvg(season, { title, idPrefix: 'second' })
  const app = new Hono<Env>()
  app.route('/assets', assets)
  app.get('/', (c) =>
    c.html(
      html`<!doctype html>${(
          <html lang="en">
            <head>
              <meta charset="utf-8" />
              <title>Lineage</title>
              <link rel="stylesheet" href="/assets/office.css" />
            </head>
            <body>
              <main>
                <h1>Lineage</h1>
                <figure>{raw(picture)}</figure>
                <figure>{raw(other)}</figure>
                {lineageTable({ graph: season, title })}
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
    await page.keyboard.press('Tab')
    const first = page.locator('svg a').first()
    expect(await first.evaluate((sign) => sign === document.activeElement)).toBe(true)
    expect(await first.ariaSnapshot()).toContain('link "source block: Mother block North')
  } finally {
    await serving.stop()
  }
})
