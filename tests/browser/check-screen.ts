// Holds a screen of the phone against WCAG 2.2 AA, and keeps its picture when pictures are wanted.
import { mkdir } from 'node:fs/promises'
import { join } from 'node:path'
import { expect } from 'vitest'
import { axeViolations } from './check-page.ts'
import type { FieldPhone } from './field-phone.ts'

/** Where pictures go when CANEMARK_PICTURES is set. */
const PICTURES = 'docs/pictures/scanner'
/** The narrowest phone that everything must fit on, in CSS pixels. */
const WIDTH = 360

/** Checks what is on the screen now; `name` names it in messages and pictures. */
export async function checkScreen(phone: FieldPhone, name: string): Promise<void> {
  const { page, language } = phone
  expect(await axeViolations(page), `WCAG 2.2 AA on ${name} (${language})`).toEqual([])
  const width = await page.evaluate(() => document.documentElement.scrollWidth)
  expect(width, `${name} (${language}) fits the width`).toBeLessThanOrEqual(WIDTH)
  if (process.env.CANEMARK_PICTURES === undefined) return
  await mkdir(PICTURES, { recursive: true })
  await page.screenshot({ path: join(PICTURES, `${name}-${language}.png`) })
}
