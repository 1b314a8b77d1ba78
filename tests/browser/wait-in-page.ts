// Waits for something in a page whose rules forbid code from texts, as every page of ours does.
import type { Page } from 'playwright-core'
import { expect } from 'vitest'

/**
 * Asks again and again, each time from outside: the browser driver's own waiting compiles a text
 * inside the page, which our content security policy refuses once the first look was too early.
 */
export async function waitInPage(
  page: Page,
  isSo: () => boolean | Promise<boolean>,
  timeout = 60_000,
): Promise<void> {
  const look = () => page.evaluate(isSo).catch(() => false)
  await expect.poll(look, { timeout, interval: 50 }).toBe(true)
}
