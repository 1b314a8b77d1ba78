// Draws the key of a block map: every sign that occurs with its word and number.
import type { CountFrom } from './block-map-layout.ts'
import { drawSigns } from './block-map-signs.ts'
import { vineStateNames, vineStates, type VineState } from './block-map-vines.ts'
import { counted, textWidth, xmlText } from './svg-text.ts'

export interface BlockMapKey {
  counts: Record<VineState, number>
  countFrom: CountFrom
  /** Width of the picture, in SVG units; the key breaks into lines to fit. */
  width: number
  idPrefix: string
}

/** Height of the key, in SVG units. */
export function keyHeight(key: BlockMapKey): number {
  const items = placeItems(key)
  return (items.at(-1)?.line ?? 0) * LINE_HEIGHT + LINE_HEIGHT + 10
}

/** Draws the key with its upper left corner at the origin. */
export function drawKey(key: BlockMapKey): string {
  return placeItems(key)
    .map((item) => {
      const at = { x: item.x + 6, y: item.line * LINE_HEIGHT + 12 }
      return (
        `${item.sign(at.x, at.y)}<text x="${at.x + 10}" y="${at.y + 4}">` +
        `${xmlText(item.words)}</text>`
      )
    })
    .join('')
}

const LINE_HEIGHT = 20

interface KeyItem {
  words: string
  sign: (x: number, y: number) => string
}

function placeItems(key: BlockMapKey): (KeyItem & { x: number; line: number })[] {
  const placed: (KeyItem & { x: number; line: number })[] = []
  let x = 8
  let line = 0
  for (const item of keyItems(key)) {
    const itemWidth = 36 + textWidth(item.words, 11)
    if (x > 8 && x + itemWidth > key.width) {
      x = 8
      line += 1
    }
    placed.push({ ...item, x, line })
    x += itemWidth
  }
  return placed
}

function keyItems(key: BlockMapKey): KeyItem[] {
  const present = vineStateNames.filter((state) => key.counts[state] > 0)
  const states = present.map((state) => ({
    words: `${vineStates[state]} ${counted(key.counts[state])}`,
    sign: (x: number, y: number) => drawSigns(state, [{ x, y }], `${key.idPrefix}-key-${state}`),
  }))
  const counting =
    key.countFrom === 'head'
      ? 'head of the row; numbers count from here'
      : 'head of the row; numbers count from the far end'
  return [
    ...states,
    { words: counting, sign: (x, y) => `<path d="M${x - 3} ${y - 4}v8l6-4z"/>` },
    {
      words: 'far end, with the number of places',
      sign: (x, y) =>
        `<path fill="none" stroke="#1d2320" stroke-width="1.5" d="M${x - 2} ${y - 5}h3v10h-3"/>`,
    },
  ]
}
