// Opens a saved dossier's page the way its reader does: from a file, with the network cut.
import { pathToFileURL } from 'node:url'
import type { Browser, Page } from 'playwright-core'

/** The page once it has checked itself; `asked` lists what it asked beyond files, and errors. */
export type SavedDossier = { page: Page; asked: string[]; close: () => Promise<void> }

/** Opens it; `prepare` is a script that runs before the page's own. */
export async function openSavedDossier(
  browser: Browser,
  file: string,
  prepare = '',
): Promise<SavedDossier> {
  const cut = await browser.newContext({ offline: true, viewport: { width: 1200, height: 1000 } })
  const page = await cut.newPage()
  const asked: string[] = []
  page.on('request', (request) => {
    if (!request.url().startsWith('file:')) asked.push(request.url())
  })
  page.on('pageerror', (error) => asked.push(String(error)))
  if (prepare !== '') await page.addInitScript(prepare)
  await page.goto(pathToFileURL(file).href)
  await page.waitForSelector('body[data-checked]', { timeout: 120_000 })
  return { page, asked, close: () => cut.close() }
}
