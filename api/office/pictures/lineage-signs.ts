// Draws the signs of a lineage: each kind of record has a shape and says its name.
import type { Point } from './block-map-signs.ts'
import type { Size } from './lineage-layout.ts'
import type { LineageKind } from './lineage-graph.ts'
import type { SignWords } from './lineage-words.ts'
import { shortened, textWidth, xmlText } from './svg-text.ts'

const KIND_SIZE = 9.5
const LABEL_SIZE = 12.5
const DETAIL_SIZE = 10.5
const LABEL_CHARACTERS = 28
const DETAIL_CHARACTERS = 36
const PADDING_X = 16
/** How far the second sheet of a group stands out behind the first. */
export const STACK_OFFSET = 5

/** The size that a sign needs for its words, in SVG units. */
export function signSize(words: SignWords, kind: LineageKind): Size {
  const width = Math.max(
    textWidth(words.kind, KIND_SIZE),
    textWidth(shortened(words.label, LABEL_CHARACTERS), LABEL_SIZE * 1.08),
    textWidth(shortened(words.detail, DETAIL_CHARACTERS), DETAIL_SIZE),
    50,
  )
  const room = (PADDING_X + Math.abs(textShift[kind] ?? 0)) * 2
  return { width: width + room, height: words.detail === '' ? 40 : 54 }
}

export interface SignStyle {
  kind: LineageKind
  focus: boolean
  /** Whether the sign stands for several records. */
  several: boolean
}

/** Draws one sign around its middle. */
export function drawSign(middle: Point, size: Size, words: SignWords, style: SignStyle): string {
  const x = middle.x - size.width / 2
  const y = middle.y - size.height / 2
  const box = { x, y, ...size }
  const { ink, paper } = style.focus ? focusColours : colours[style.kind]
  const dash = style.kind === 'place' ? ' stroke-dasharray="5 3"' : ''
  const outline = `stroke="${ink}" stroke-width="${style.focus ? 3 : 1.5}"${dash}`
  const shape = shapes[style.kind](box)
  const behind = style.several
    ? `<path d="${shape}" fill="${paper}" ${outline} ` +
      `transform="translate(${STACK_OFFSET} -${STACK_OFFSET})"/>`
    : ''
  const marks = ornaments[style.kind]?.(box) ?? ''
  return (
    `${behind}<path d="${shape}" fill="${paper}" ${outline}/>` +
    (marks === '' ? '' : `<path d="${marks}" fill="none" stroke="${ink}" stroke-width="1.2"/>`) +
    drawWords(middle.x + (textShift[style.kind] ?? 0), y, words, ink)
  )
}

function drawWords(x: number, top: number, words: SignWords, ink: string): string {
  const label = xmlText(shortened(words.label, LABEL_CHARACTERS))
  const detail = xmlText(shortened(words.detail, DETAIL_CHARACTERS))
  const lines = [
    `<text x="${x}" y="${top + 14}" font-size="${KIND_SIZE}" fill="${ink}">` +
      `${xmlText(words.kind)}</text>`,
    `<text x="${x}" y="${top + 30}" font-size="${LABEL_SIZE}" font-weight="700">${label}</text>`,
  ]
  if (detail !== '') {
    lines.push(`<text x="${x}" y="${top + 45}" font-size="${DETAIL_SIZE}">${detail}</text>`)
  }
  return `<g text-anchor="middle">${lines.join('')}</g>`
}

// How far the words move aside for the inner lines.
const textShift: Partial<Record<LineageKind, number>> = {
  sourceBlock: 7,
  lot: 5,
  combine: 6,
  split: -6,
}

interface Box extends Point, Size {}

// Inks reach 4.5 : 1 against their papers, words in the main ink far more.
const colours: Readonly<Record<LineageKind, { ink: string; paper: string }>> = {
  sourceBlock: { ink: '#2d5a1e', paper: '#eef5e6' },
  sourceVine: { ink: '#2d5a1e', paper: '#f7fbf2' },
  lot: { ink: '#7a4300', paper: '#fdf3e3' },
  split: { ink: '#4c4f55', paper: '#f2f2f3' },
  combine: { ink: '#4c4f55', paper: '#f2f2f3' },
  place: { ink: '#1f5a66', paper: '#fff' },
  bath: { ink: '#1c5aa0', paper: '#eaf2fb' },
  graftGroup: { ink: '#6a3c7e', paper: '#f7effa' },
  stock: { ink: '#8a1f3d', paper: '#fcf0f2' },
}

const focusColours = { ink: '#1d2320', paper: '#ffe9a8' }

const shapes: Readonly<Record<LineageKind, (box: Box) => string>> = {
  sourceBlock: rectangle,
  sourceVine: (box) => rounded(box, box.height / 2),
  lot: tag,
  split: hexagon,
  combine: hexagon,
  place: rectangle,
  bath: wavyBottom,
  graftGroup: cutCorners,
  stock: rectangle,
}

// Inner lines: the rows of a block, the hole of a tag, the fork of a split and a combination, the
// second frame of stock.
const ornaments: Partial<Record<LineageKind, (box: Box) => string>> = {
  sourceBlock: ({ x, y, height }) =>
    `M${x + 5} ${y}v${height}M${x + 9} ${y}v${height}M${x + 13} ${y}v${height}`,
  lot: ({ x, y, height }) => `M${x + 8} ${y + height / 2}m-3 0a3 3 0 1 0 6 0a3 3 0 1 0-6 0z`,
  split: ({ x, y, width, height }) => {
    const right = x + width - 8
    const middle = y + height / 2
    return `M${right - 8} ${middle}h3l5-5m-5 5l5 5`
  },
  combine: ({ x, y, height }) => {
    const middle = y + height / 2
    return `M${x + 8} ${middle - 5}l5 5h3m-3 0l-5 5`
  },
  stock: ({ x, y, width, height }) =>
    rectangle({ x: x + 4, y: y + 4, width: width - 8, height: height - 8 }),
}

function rectangle({ x, y, width, height }: Box): string {
  return `M${x} ${y}h${width}v${height}h-${width}z`
}

function rounded({ x, y, width, height }: Box, radius: number): string {
  const across = width - radius * 2
  const arc = (dx: number, dy: number): string => `a${radius} ${radius} 0 0 1 ${dx} ${dy}`
  const down = height - radius * 2
  return (
    `M${x + radius} ${y}h${across}${arc(radius, radius)}v${down}${arc(-radius, radius)}` +
    `h-${across}${arc(-radius, -radius)}v-${down}${arc(radius, -radius)}z`
  )
}

function tag({ x, y, width, height }: Box): string {
  const cut = 10
  return `M${x + cut} ${y}H${x + width}v${height}H${x + cut}l-${cut}-${cut}V${y + cut}z`
}

function cutCorners({ x, y, width, height }: Box): string {
  const cut = 9
  return (
    `M${x + cut} ${y}H${x + width - cut}l${cut} ${cut}v${height - cut * 2}l-${cut} ${cut}` +
    `H${x + cut}l-${cut}-${cut}V${y + cut}z`
  )
}

function hexagon({ x, y, width, height }: Box): string {
  const cut = 9
  const half = height / 2
  return (
    `M${x + cut} ${y}H${x + width - cut}l${cut} ${half}l-${cut} ${half}` +
    `H${x + cut}l-${cut}-${half}z`
  )
}

function wavyBottom({ x, y, width, height }: Box): string {
  const quarter = width / 4
  const wave = `q-${quarter / 2} 6-${quarter} 0t-${quarter} 0t-${quarter} 0t-${quarter} 0`
  return `M${x} ${y}h${width}v${height - 2}${wave}z`
}
