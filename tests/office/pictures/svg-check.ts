// Reads SVG with a browser's XML parser and says what a picture holds.
import type { Page } from 'playwright-core'

export interface SvgFacts {
  /** What the parser says is wrong; null for well-formed XML. */
  error: string | null
  /** Names of all elements, each once. */
  elements: string[]
  ids: string[]
  /** Targets of all links and references. */
  hrefs: string[]
  /** Names of attributes that could run or style something: on…, style, src. */
  active: string[]
  /** Texts of all title elements. */
  titles: string[]
  /** All character data that is drawn, one string for each text element. */
  texts: string[]
  /** Signs drawn by state, without those of the key. */
  signs: Record<string, number>
}

/** Parses as `image/svg+xml`, which accepts nothing but well-formed XML. */
export async function svgFacts(page: Page, svg: string): Promise<SvgFacts> {
  const facts: unknown = await page.evaluate(`(${reader})(${JSON.stringify(svg)})`)
  return facts as SvgFacts
}

const reader = `(svg) => {
  const parsed = new DOMParser().parseFromString(svg, 'image/svg+xml')
  const failure = parsed.querySelector('parsererror')
  const all = [...parsed.querySelectorAll('*')]
  const attributes = all.flatMap((element) => [...element.attributes])
  const signs = {}
  for (const group of parsed.querySelectorAll('[data-state]')) {
    if (group.closest('[data-part="key"]') !== null) continue
    const path = group.querySelector('path').getAttribute('d')
    const state = group.getAttribute('data-state')
    const starts = /^(standing|skipped|removed|missing|failed)$/.test(state) ? /M/g : /M[^M]*h0/g
    signs[state] = path.match(starts).length
  }
  return {
    error: failure === null ? null : failure.textContent,
    elements: [...new Set(all.map((element) => element.localName))].sort(),
    ids: all.filter((element) => element.id !== '').map((element) => element.id),
    hrefs: attributes.filter(({ localName }) => localName === 'href').map(({ value }) => value),
    active: attributes.map(({ name }) => name).filter((name) => /^(on|style$|src$)/i.test(name)),
    titles: [...parsed.querySelectorAll('title')].map((title) => title.textContent),
    texts: [...parsed.querySelectorAll('text')].map((text) => text.textContent),
    signs,
  }
}`
