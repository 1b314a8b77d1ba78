// Says what a posted form was answered with: where it led, or which fields were refused.
import { sql } from 'kysely'
import { expect } from 'vitest'
import type { OfficeApp } from '../office-app.ts'

type Fields = Record<string, string | string[]>

/** How many entries the journal has, and how many rows the people table. */
export async function recordedSoFar(
  office: OfficeApp,
): Promise<{ entries: number; people: number }> {
  const rows = await sql<{ entries: number; people: number }>`
    select (select count(*)::int from entry) as entries,
      (select count(*)::int from person) as people`.execute(office.services.db)
  const [row] = rows.rows
  if (row === undefined) throw new Error('counting gave no row')
  return row
}

/**
 * Posts a form that must be refused: status 422, each problem at its own field and in the list at
 * the top, everything typed still there, nothing written. `notOffered` names fields whose value is
 * no choice of the list, so that it cannot be shown back. Returns the page.
 */
export async function expectRefused(
  office: OfficeApp,
  path: string,
  fields: Fields,
  problems: Record<string, RegExp>,
  notOffered: readonly string[] = [],
): Promise<string> {
  const before = await recordedSoFar(office)
  const response = await office.post(path, fields)
  const page = await response.text()
  expect(response.status, page.slice(0, 2000)).toBe(422)
  for (const [field, message] of Object.entries(problems)) {
    expect(errorAt(page, field), `the problem at ${field}`).toMatch(message)
    expect(page).toContain(`href="#field-${field}"`)
  }
  for (const [name, given] of Object.entries(fields)) {
    if (notOffered.includes(name)) continue
    for (const value of Array.isArray(given) ? given : [given]) {
      expect(keeps(page, name, value), `${name} still says ${value}`).toBe(true)
    }
  }
  expect(await recordedSoFar(office), 'nothing was written').toEqual(before)
  return page
}

/** Posts a form that must be saved; returns the address it leads to. */
export async function expectSaved(
  office: OfficeApp,
  path: string,
  fields: Fields,
): Promise<string> {
  const response = await office.post(path, fields)
  const page = response.status === 303 ? '' : await response.text()
  expect(response.status, `${errorsIn(page)} ${page.slice(-3000)}`).toBe(303)
  return response.headers.get('location') ?? ''
}

/** The page at an address, which must be there. */
export async function pageAt(office: OfficeApp, path: string): Promise<string> {
  const response = await office.app.request(path)
  const page = await response.text()
  expect(response.status, `${path}: ${page.slice(0, 1500)}`).toBe(200)
  return page
}

/** The latest entry of a kind, its body as the journal holds it. */
export async function lastBody(office: OfficeApp, kind: string): Promise<Record<string, unknown>> {
  const [body] = (await bodiesOf(office, kind)).slice(-1)
  if (body === undefined) throw new Error(`no entry ${kind} was made`)
  return body
}

/** The bodies of all entries of a kind, in the order of the journal. */
export async function bodiesOf(
  office: OfficeApp,
  kind: string,
): Promise<Record<string, unknown>[]> {
  const rows = await office.services.db
    .selectFrom('entry')
    .select('canonical')
    .where('kind', '=', kind)
    .orderBy('journal_index')
    .execute()
  return rows.map(
    (row) => (JSON.parse(row.canonical.toString('utf8')) as { body: Record<string, unknown> }).body,
  )
}

/** Turns the text of a page with its markup into plain text, as a person reads it. */
export function plainText(html: string): string {
  return html
    .replace(/<[^>]*>/g, ' ')
    .replaceAll('&quot;', '"')
    .replaceAll('&#39;', "'")
    .replaceAll('&lt;', '<')
    .replaceAll('&gt;', '>')
    .replaceAll('&amp;', '&')
    .replace(/\s+/g, ' ')
}

function errorAt(page: string, field: string): string {
  const place = page.indexOf(`id="error-${field}"`)
  if (place !== -1) return plainText(page.slice(place, page.indexOf('</p>', place)))
  const listed = page.indexOf(`href="#field-${field}"`)
  return listed === -1 ? `none; ${errorsIn(page)}` : plainText(page.slice(listed, listed + 600))
}

function errorsIn(page: string): string {
  return [...page.matchAll(/href="#field-([^"]+)">([^<]*)</g)]
    .map(([, field, message]) => `${field}: ${message}`)
    .join('\n')
}

/** Is the value shown back: in an input, a text area, a chosen option or a ticked box? */
function keeps(page: string, name: string, value: string): boolean {
  if (value === '') return true
  const escaped = value
    .replaceAll('&', '&amp;')
    .replaceAll('"', '&quot;')
    .replaceAll("'", '&#39;')
    .replaceAll('<', '&lt;')
    .replaceAll('>', '&gt;')
  const tags = page.match(/<(input|option|textarea)[^>]*>[^<]*/g) ?? []
  return tags.some((tag) => {
    if (tag.startsWith('<textarea')) return tag.includes(`name="${name}"`) && tag.includes(escaped)
    if (!tag.includes(`value="${escaped}"`)) return false
    if (tag.startsWith('<option')) return / selected/.test(tag)
    if (/type="(checkbox|radio)"/.test(tag)) return / checked/.test(tag)
    return tag.includes(`name="${name}"`)
  })
}
