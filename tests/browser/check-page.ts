// Asserts that an open page is valid HTML and keeps WCAG 2.2 level A and AA, as axe-core tests it.
import axe from 'axe-core'
import type { Page } from 'playwright-core'
import { expect } from 'vitest'
import { htmlProblems } from './html-problems.ts'

const wcagTags = ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22a', 'wcag22aa']

/**
 * Checks the page that is open. `html` is the text that the server sent; without it the page's
 * address is asked for once more, so give it for the answer to a posted form.
 */
export async function checkPage(page: Page, options: { html?: string } = {}): Promise<void> {
  const html = options.html ?? (await sourceOf(page))
  expect(htmlProblems(html), `valid HTML at ${page.url()}`).toEqual([])
  expect(await axeViolations(page), `WCAG 2.2 AA at ${page.url()}`).toEqual([])
}

/** Each violation with the elements that show it; empty when axe-core finds none. */
export async function axeViolations(page: Page): Promise<string[]> {
  await page.evaluate(axe.source)
  const options = {
    runOnly: { type: 'tag', values: wcagTags },
    rules: { 'target-size': { enabled: true } },
  }
  const found = (await page.evaluate(
    `axe.run(document, ${JSON.stringify(options)}).then((results) =>
      results.violations.map(({ id, help, nodes }) =>
        id + ': ' + help + '\\n' + nodes.map((node) => '  ' + node.html).join('\\n')))`,
  )) as unknown
  expect(Array.isArray(found), 'axe-core answered with a list').toBe(true)
  return found as string[]
}

async function sourceOf(page: Page): Promise<string> {
  const response = await page.context().request.get(page.url())
  return response.text()
}
