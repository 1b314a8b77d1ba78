// Measures a screen of the phone as it lies on 360 × 740: sizes of targets, reach, overflow.
import { expect } from 'vitest'
import { checkScreen } from './check-screen.ts'
import type { FieldPhone } from './field-phone.ts'

/** Smallest side of anything that is pressed or typed into, in CSS pixels. */
const TARGET = 60

interface Box {
  readonly words: string
  readonly width: number
  readonly height: number
  readonly top: number
  readonly bottom: number
  readonly isMain: boolean
}

/** Checks size, reach and width, then WCAG 2.2 AA; keeps the picture when pictures are wanted. */
export async function measureScreen(phone: FieldPhone, name: string): Promise<void> {
  const { page, language } = phone
  const at = `${name} (${language})`
  const boxes = (await page.evaluate(`
    [...document.querySelectorAll(
      'button, summary, input, textarea, select, a[href]')].map((one) => {
      const { width, height, top, bottom } = one.getBoundingClientRect()
      const words = (one.getAttribute('aria-label') ?? one.textContent ?? '') + ' ' + one.className
      return { words, width, height, top, bottom, isMain: one.matches('.actions .big') }
    }).filter(({ width }) => width > 0)`)) as Box[]
  expect(boxes.length, at).toBeGreaterThan(0)
  const isSmall = ({ width, height }: Box) => Math.min(width, height) < TARGET - 0.5
  expect(boxes.filter(isSmall), `targets of ${TARGET} px on ${at}`).toEqual([])
  const viewport = page.viewportSize() ?? { width: 360, height: 740 }
  const isOutOfReach = ({ top, bottom, isMain }: Box) =>
    isMain && (top < viewport.height / 3 || bottom > viewport.height + 0.5)
  expect(boxes.filter(isOutOfReach), `in the thumb's reach on ${at}`).toEqual([])
  const hidden = (await page.evaluate(`
    [...document.querySelectorAll('.screen, .slot, .strip')]
      .filter((one) => one.scrollWidth > one.clientWidth + 1)
      .map((one) => one.className)`)) as string[]
  expect(hidden, `nothing runs out of ${at} sideways`).toEqual([])
  await checkScreen(phone, name)
}
