// Text meant to harm is sent in every text field of every form, and stays text on every page.
import { afterAll, beforeAll, expect, it } from 'vitest'
import { parse as parseCsv } from 'csv-parse/sync'
import { sql } from 'kysely'
import { loadDemo } from '../../seed/load.ts'
import { inlineScripts, readPage } from './page-forms.ts'
import type { PageForm } from './page-forms.ts'
import { realApp } from './real-app.ts'
import type { RealApp } from './real-app.ts'

const nasty = [
  '<script>alert(1)</script>',
  `"><img src=x onerror=alert(1)>`,
  `x'); drop table entry; --`,
  '=HYPERLINK("http://evil.example";"x")',
  'a\r\nset-cookie: evil=1',
]
/** Addresses that end the walk's own session or take their time. */
const leftOut = /^\/(sign-out|assets|api|scanner)(\/|$)/

let real: RealApp
let cookie: string
beforeAll(async () => {
  real = await realApp()
  const { db } = real.services
  await loadDemo(db, (path, init) => real.app.request(path, init), real.now())
  cookie = await real.cookieFor('administrator')
}, 240_000)
afterAll(() => real.drop())

type Visited = { path: string; html: string }

it('no text field of any form lets text act, break a page or leave its cell', async () => {
  const before = await walk()
  const forms = formsOf(before)
  expect(forms.length).toBeGreaterThan(25)
  let fieldCount = 0
  for (const form of forms) {
    for (const text of nasty) {
      const fields = Object.fromEntries([
        ...form.fields,
        ...form.textFields.map((name) => [name, text] as const),
      ])
      const answer = await real.post(form.action, { cookie, fields })
      const page = await answer.text()
      expect([form.action, text, answer.status < 500]).toEqual([form.action, text, true])
      expect([form.action, answer.headers.get('set-cookie')?.includes('evil') ?? false]).toEqual([
        form.action,
        false,
      ])
      expect([form.action, inlineScripts(page)]).toEqual([form.action, []])
    }
    fieldCount += form.textFields.length
  }
  const after = await walk()
  expect(after.length).toBeGreaterThan(40)
  for (const { path, html } of after) expect([path, inlineScripts(html)]).toEqual([path, []])
  const kept = await sql`select 1 from entry limit 1`.execute(real.services.db)
  expect(kept.rows).toHaveLength(1)
  console.log(`${forms.length} forms, ${fieldCount} text fields, ${after.length} pages walked`)
}, 600_000)

/** Every page within reach, at most two addresses of each route; files are checked on the way. */
async function walk(): Promise<Visited[]> {
  const seen = new Map<string, number>()
  const queue = ['/', '/today']
  const known = new Set(queue)
  const follow = (link: string) => {
    const route = routeOf(link)
    if (leftOut.test(link) || known.has(link) || (seen.get(route) ?? 0) >= 2) return
    seen.set(route, (seen.get(route) ?? 0) + 1)
    known.add(link)
    queue.push(link)
  }
  const pages: Visited[] = []
  for (let path = queue.shift(); path !== undefined; path = queue.shift()) {
    const answer = await real.get(path, cookie)
    expect([path, answer.status < 500]).toEqual([path, true])
    const type = answer.headers.get('content-type') ?? ''
    if (type.startsWith('text/csv')) expectQuoted(await answer.text())
    if (!type.startsWith('text/html')) continue
    const html = await answer.text()
    pages.push({ path, html })
    readPage(html, path).links.forEach(follow)
  }
  return pages
}

/** Forms that are posted and hold free text, each route once. */
function formsOf(pages: Visited[]): PageForm[] {
  const forms = new Map<string, PageForm>()
  for (const { path, html } of pages) {
    for (const form of readPage(html, path).forms) {
      const key = `${routeOf(form.action)} ${form.fields.map(([name]) => name).join()}`
      const isAsked = form.isPost && !form.isFile && form.textFields.length > 0
      if (isAsked && !leftOut.test(form.action) && !forms.has(key)) forms.set(key, form)
    }
  }
  return [...forms.values()]
}

/** An address without its ids, codes, names and numbers. */
function routeOf(link: string): string {
  const [path = ''] = link.split('?')
  const segments = path.split('/').map((part) => (/^[a-z-]{0,20}$/.test(part) ? part : ':id'))
  return segments.join('/')
}

function expectQuoted(csv: string): void {
  const rows = parseCsv(csv, { bom: true, relax_column_count: true }) as string[][]
  const acting = rows.flat().filter((cell) => /^[=+@\t\r]/.test(cell) || /^-\D/.test(cell))
  expect(acting).toEqual([])
}
