// Works a page by keyboard alone, as somebody without a mouse does.
import type { Page } from 'playwright-core'

/** Most presses of the tab key before giving up. */
const TAB_LIMIT = 300

/** Presses Tab until the element that `selector` means has the focus; says so when it never has. */
export async function tabTo(page: Page, selector: string): Promise<void> {
  for (let presses = 0; presses < TAB_LIMIT; presses += 1) {
    const isThere = await page.evaluate(
      (wanted) => document.activeElement?.matches(wanted) === true,
      selector,
    )
    if (isThere) return
    await page.keyboard.press('Tab')
  }
  throw new Error(`${TAB_LIMIT} presses of Tab did not reach ${selector}`)
}

/** Goes to a field by Tab and types; in a list, typing chooses. */
export async function typeInto(page: Page, selector: string, text: string): Promise<void> {
  await tabTo(page, selector)
  await page.keyboard.type(text)
}

/** Goes to a button or link by Tab, presses it, and waits for the page that comes. */
export async function pressOn(page: Page, selector: string): Promise<void> {
  await tabTo(page, selector)
  await Promise.all([page.waitForNavigation(), page.keyboard.press('Enter')])
}

/** Does anything stick out of the window sideways? In CSS pixels, 0 when nothing does. */
export async function sidewaysOverflow(page: Page): Promise<number> {
  return page.evaluate(
    () => document.documentElement.scrollWidth - document.documentElement.clientWidth,
  )
}
