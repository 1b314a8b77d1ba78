// Runs inside a saved dossier page: checks it, shows it, and says where it is wrong. No network.
import type { DossierContent, DossierTable } from '../dossier-shape.ts'
import { checkDossier, openDossier } from './check-dossier.ts'
import type { Check, CheckOptions } from './check-dossier.ts'

/** In a page that HTML can hold, `<` is written as an escape of JSON; this takes it back. */
export function fromPage(text: string): string {
  return text.replace(/\\(u003c|[^])/g, (whole, code: string) => (code === 'u003c' ? '<' : whole))
}

/** Links that a row shows before the rest is folded. */
const LINK_LIMIT = 8

const marks = { right: '✓ right', wrong: '✗ WRONG', 'not checked': '– not checked' } as const

function element(name: string, text = '', className = ''): HTMLElement {
  const made = document.createElement(name)
  if (text !== '') made.textContent = text
  if (className !== '') made.className = className
  return made
}

const byId = (id: string) => document.getElementById(id) ?? document.body
const textOf = (id: string) => byId(id).textContent ?? ''

async function begin(): Promise<void> {
  const file = fromPage(textOf('dossier'))
  const options: CheckOptions = {}
  const again = async () => showChecks(await checked(file, options))
  try {
    showContent(openDossier(file).content)
  } catch {
    // The checks say what is wrong with it.
  }
  listen('key', async (input) => {
    options.trustedKey = input.value
    await again()
  })
  listen('given-pdf', async (input) => {
    const given = input.files?.[0]
    if (given === undefined) return
    options.pdf = new Uint8Array(await given.arrayBuffer())
    await again()
  })
  offer('save-json', 'dossier.json', 'application/json', () => file)
  offer('save-pdf', 'dossier.pdf', 'application/pdf', pdfBytes)
  options.pdf = pdfBytes()
  await again()
}

/** A page opened in a way that has no WebCrypto says so, and shows nothing as right. */
async function checked(file: string, options: CheckOptions): Promise<Check[]> {
  if (globalThis.crypto?.subtle !== undefined) return checkDossier(file, options)
  const words = 'this browser has no WebCrypto here; open the saved file itself, or a newer browser'
  return [{ what: 'Everything', result: 'not checked', words }]
}

function pdfBytes(): Uint8Array<ArrayBuffer> {
  return Uint8Array.from(atob(textOf('pdf').trim()), (character) => character.charCodeAt(0))
}

function listen(id: string, act: (input: HTMLInputElement) => Promise<void>): void {
  const input = byId(id) as HTMLInputElement
  input.addEventListener('change', () => void act(input))
}

function offer(
  id: string,
  name: string,
  type: string,
  make: () => string | Uint8Array<ArrayBuffer>,
) {
  byId(id).addEventListener('click', () => {
    const link = document.createElement('a')
    link.href = URL.createObjectURL(new Blob([make()], { type }))
    link.download = name
    link.click()
  })
}

function showChecks(checks: Check[]): void {
  const wrong = checks.filter(({ result }) => result === 'wrong')
  const open = checks.filter(({ result }) => result === 'not checked')
  const summary =
    wrong.length > 0
      ? `WRONG: ${wrong.map(({ what, words }) => `${what}: ${words}`).join('. ')}`
      : open.some(({ what }) => what === 'Everything')
        ? 'Nothing could be checked here.'
        : 'Nothing was changed since it was signed. What is signed may have been told falsely.'
  const head = byId('outcome')
  head.textContent = summary
  head.className = wrong.length > 0 ? 'wrong' : 'right'
  byId('checks').replaceChildren(
    ...checks.map(({ what, result, words }) => {
      const row = element('tr', '', result.replace(' ', '-'))
      row.append(element('th', what), element('td', marks[result], 'mark'), element('td', words))
      return row
    }),
  )
  document.body.dataset.checked = wrong.length > 0 ? 'wrong' : 'right'
}

function showContent(content: DossierContent): void {
  const { subject, nursery } = content
  document.title = `Dossier: ${subject.label}`
  byId('title').textContent = `Dossier: ${subject.label}`
  const whose = [nursery.name, nursery.country, nursery.operatorNumber]
  byId('about').textContent =
    `${whose.filter((part) => part !== '').join(' ')}, made ${content.madeAt} (UTC). ` +
    content.statement
  const kept = new Set(content.proof.entries.map(({ index }) => index))
  const rules: DossierTable = {
    title: 'Rules',
    note: 'Each is answered by what is on record: holds, does not hold, or not known.',
    columns: ['Rule', 'Answer', 'Why', 'Asked for by'],
    rows: content.rules.map((rule) => ({
      cells: [
        rule.rule,
        rule.result.toUpperCase(),
        rule.because,
        rule.citation +
          (['read', 'our own'].includes(rule.citationKnown) ? '' : ` (${rule.citationKnown})`),
      ],
      entries: rule.entries,
    })),
  }
  byId('content').replaceChildren(
    ...[rules, ...content.tables].map((table) => tableSection(table, kept)),
  )
  showEntries(content)
}

function tableSection(table: DossierTable, kept: Set<number>): HTMLElement {
  const section = element('section')
  section.append(element('h2', table.title), element('p', table.note, 'note'))
  if (table.rows.length === 0) {
    section.append(element('p', 'None.'))
    return section
  }
  const drawn = element('table')
  const head = element('tr')
  for (const column of [...table.columns, 'Entries']) head.append(element('th', column))
  const body = element('tbody')
  for (const { cells, entries } of table.rows) {
    const row = element('tr')
    for (const cell of cells) row.append(element('td', cell))
    row.append(entryLinks([...new Set(entries)].filter((index) => kept.has(index))))
    body.append(row)
  }
  const top = element('thead')
  top.append(head)
  drawn.append(top, body)
  section.append(drawn)
  return section
}

/** Links to the entries that a row rests on; many of them are folded, so that the row stays low. */
function entryLinks(indexes: readonly number[]): HTMLElement {
  const cell = element('td')
  const linkTo = (index: number) => {
    const link = element('a', String(index))
    link.setAttribute('href', `#entry-${index}`)
    return link
  }
  const fill = (at: HTMLElement, some: readonly number[]) =>
    some.forEach((index) => at.append(linkTo(index), ' '))
  fill(cell, indexes.slice(0, LINK_LIMIT))
  const rest = indexes.slice(LINK_LIMIT)
  if (rest.length === 0) return cell
  const more = element('details')
  more.append(element('summary', `and ${rest.length} more`))
  more.addEventListener('toggle', () => {
    if (more.childElementCount === 1) fill(more, rest)
  })
  cell.append(more)
  return cell
}

/** Every entry's exact text, laid out when it is opened. */
function showEntries({ proof, names }: DossierContent): void {
  const list = byId('entries')
  for (const { index, entry, recordedAt } of proof.entries) {
    // The body stands first and may name kinds of its own.
    const [, kind = ''] = /.*"kind":"([a-z_.]{1,40})","occurredAt"/s.exec(entry) ?? []
    const details = element('details')
    details.id = `entry-${index}`
    details.append(element('summary', `${index} ${kind}, recorded ${recordedAt}`))
    details.addEventListener('toggle', () => {
      if (details.childElementCount > 1) return
      const told = [...new Set(entry.match(/[0-9a-f]{8}(?:-[0-9a-f]{4}){3}-[0-9a-f]{12}/g) ?? [])]
      const known = told.flatMap((id) => (names[id] === undefined ? [] : `${id} = ${names[id]}`))
      details.append(element('pre', entry), element('p', known.join('; '), 'note'))
    })
    list.append(details)
  }
  const openNamed = () => {
    const named = document.getElementById(location.hash.slice(1))
    if (named instanceof HTMLDetailsElement) named.open = true
  }
  addEventListener('hashchange', openNamed)
}

if (typeof document !== 'undefined') void begin()
