// What the field does to a tag itself: mud, scratches, tears, lost ink, light on dark.
import type { Picture } from '../../../scanner/camera/picture.ts'
import { fill } from './tag-texture.ts'
import type { TagTexture } from './tag-texture.ts'

/** How worn a tag is; zero for as printed. */
export interface Wear {
  /** Share of the tag under mud, about. */
  readonly mud: number
  /** Scratches for each symbol. */
  readonly scratches: number
  /** Torn-off pieces, as a share of the symbol's side, one at each symbol. */
  readonly tear: number
  /** Share of the ink that has gone. */
  readonly inkLost: number
  readonly inverted: boolean
}

export const UNWORN: Wear = { mud: 0, scratches: 0, tear: 0, inkLost: 0, inverted: false }

/** Wears a tag, in place. */
export function wear(tag: TagTexture, how: Wear, random: () => number): void {
  const perMm = tag.ink.width / tag.widthMm
  if (how.inverted) {
    for (let at = 0; at < tag.ink.grey.length; at += 1)
      tag.ink.grey[at] = 255 - (tag.ink.grey[at] ?? 0)
  }
  if (how.inkLost > 0) loseInk(tag.ink, how.inkLost, perMm * tag.moduleMm, random)
  if (how.mud > 0) throwMud(tag.ink, how.mud, perMm * tag.moduleMm, random)
  for (const { xMm, yMm, sideMm } of tag.symbols) {
    for (let nr = 0; nr < how.scratches; nr += 1) {
      scratch(tag.ink, [xMm * perMm, yMm * perMm], sideMm * perMm, random)
    }
    if (how.tear > 0) tear(tag.there, [xMm * perMm, yMm * perMm, sideMm * perMm], how.tear, random)
  }
}

/** Patches and thin stripes without ink, as a dry ribbon or a worn head leaves them. */
function loseInk(ink: Picture, share: number, moduleDots: number, random: () => number): void {
  for (let y = 0; y < ink.height; y += 1) {
    if (random() < share * 0.25) fill(ink, 0, y, ink.width, 1, 255)
  }
  const patches = Math.round((share * ink.width * ink.height) / moduleDots ** 2)
  for (let nr = 0; nr < patches; nr += 1) {
    const radius = moduleDots * (0.2 + 0.5 * random())
    blot(ink, random() * ink.width, random() * ink.height, radius, 235)
  }
}

function throwMud(ink: Picture, share: number, moduleDots: number, random: () => number): void {
  let left = share * ink.width * ink.height
  while (left > 0) {
    const radius = moduleDots * (0.4 + 3 * random() ** 3)
    const value = 60 + 90 * random()
    const [x, y] = [random() * ink.width, random() * ink.height]
    // A splash is a large blot with smaller ones around it.
    for (let nr = 0; nr < 4; nr += 1) {
      const way = random() * 2 * Math.PI
      const far = nr === 0 ? 0 : radius * (0.6 + 0.8 * random())
      const size = nr === 0 ? radius : radius * (0.3 + 0.4 * random())
      blot(ink, x + far * Math.cos(way), y + far * Math.sin(way), size, value)
      left -= Math.PI * size * size * 0.8
    }
  }
}

function blot(picture: Picture, x: number, y: number, radius: number, value: number): void {
  for (let row = Math.ceil(y - radius); row <= y + radius; row += 1) {
    const half = Math.sqrt(Math.max(0, radius * radius - (row - y) ** 2))
    fill(picture, Math.round(x - half), row, Math.round(2 * half), 1, value)
  }
}

function scratch(
  ink: Picture,
  [x, y]: readonly [number, number],
  side: number,
  random: () => number,
): void {
  const way = random() * Math.PI
  const off = (random() - 0.5) * side
  const wide = 1 + Math.round(random() * 3)
  for (let along = -side * 0.8; along < side * 0.8; along += 1) {
    const bend = Math.sin(along / side) * side * 0.1
    const px = x + along * Math.cos(way) - (off + bend) * Math.sin(way)
    const py = y + along * Math.sin(way) + (off + bend) * Math.cos(way)
    fill(ink, Math.round(px), Math.round(py), wide, wide, 225)
  }
}

/** A corner of the symbol is gone along a ragged line, and what lies beyond it too. */
function tear(
  there: Picture,
  [x, y, side]: readonly [number, number, number],
  share: number,
  random: () => number,
): void {
  const corner = Math.floor(random() * 4)
  const [toX, toY] = [corner % 2 === 0 ? -1 : 1, corner < 2 ? -1 : 1]
  const ragged = Array.from({ length: 16 }, () => (random() - 0.5) * 0.1 * side)
  const depth = share * side * 1.4
  for (let py = Math.round(y - side * 0.7); py < y + side * 0.7; py += 1) {
    for (let px = Math.round(x - side * 0.7); px < x + side * 0.7; px += 1) {
      if (px < 0 || py < 0 || px >= there.width || py >= there.height) continue
      const fromCorner = side * 1.2 - (toX * (px - x) + toY * (py - y))
      const along = (toX * (px - x) - toY * (py - y)) / side
      const bite = ragged[Math.floor(Math.abs(along) * 15) % 16] ?? 0
      if (fromCorner < depth + bite) there.grey[py * there.width + px] = 0
    }
  }
}
