// What light, lens and sensor do to a scene: shadow, glare, defocus, motion, noise.
import { newPicture } from '../../../scanner/camera/picture.ts'
import type { Picture } from '../../../scanner/camera/picture.ts'
import type { Scene } from './view.ts'

/** An even field that looks like bark and leaves from afar. */
export function background(width: number, height: number, random: () => number): Float32Array {
  const light = new Float32Array(width * height).fill(70 + 80 * random())
  for (const [cell, strength] of [
    [160, 50],
    [45, 30],
    [9, 24],
  ] as const) {
    const wide = Math.ceil(width / cell) + 2
    const grid = Float32Array.from({ length: wide * (Math.ceil(height / cell) + 2) }, random)
    for (let y = 0; y < height; y += 1) {
      const row = Math.floor(y / cell)
      const shareY = y / cell - row
      for (let x = 0; x < width; x += 1) {
        const column = Math.floor(x / cell)
        const shareX = x / cell - column
        const at = row * wide + column
        const upper = (grid[at] ?? 0) * (1 - shareX) + (grid[at + 1] ?? 0) * shareX
        const lower = (grid[at + wide] ?? 0) * (1 - shareX) + (grid[at + wide + 1] ?? 0) * shareX
        const value = upper * (1 - shareY) + lower * shareY - 0.5
        light[y * width + x] = (light[y * width + x] ?? 0) + strength * value
      }
    }
  }
  return light
}

/** Darkens one side of a line through a point, by `share` of the light, edge `softPx` wide. */
export function shade(
  { width, height, light }: Scene,
  [x, y]: readonly [number, number],
  way: number,
  share: number,
  softPx: number,
): void {
  for (let py = 0; py < height; py += 1) {
    for (let px = 0; px < width; px += 1) {
      const beyond = (px - x) * Math.cos(way) + (py - y) * Math.sin(way)
      const dark = Math.max(0, Math.min(1, beyond / softPx + 0.5))
      light[py * width + px] = (light[py * width + px] ?? 0) * (1 - share * dark)
    }
  }
}

/** Adds the sun's reflection: full white in the middle, fading out over `radiusPx`. */
export function glare(
  { width, height, light }: Scene,
  [x, y]: readonly [number, number],
  radiusPx: number,
  strength: number,
): void {
  for (let py = 0; py < height; py += 1) {
    for (let px = 0; px < width; px += 1) {
      const far = ((px - x) ** 2 + (py - y) ** 2) / radiusPx ** 2
      if (far > 9) continue
      light[py * width + px] = (light[py * width + px] ?? 0) + strength * Math.exp(-far)
    }
  }
}

/** Two box blurs each way, which together come near a lens out of focus by `radiusPx`. */
export function defocus(scene: Scene, radiusPx: number): void {
  if (radiusPx < 0.2) return
  // A disc of radius r has standard deviation r / 2; two boxes of side w have w / sqrt(6).
  const side = Math.max(1, (radiusPx / 2) * Math.sqrt(6))
  for (let nr = 0; nr < 2; nr += 1) {
    boxAlong(scene, side, 1, scene.width, scene.width, scene.height)
    boxAlong(scene, side, scene.width, scene.height, 1, scene.width)
  }
}

/** Mean over `side` pixels along lines, with a share of the pixels at both ends. */
function boxAlong(
  { light }: Scene,
  side: number,
  step: number,
  length: number,
  lineStep: number,
  lines: number,
): void {
  const whole = Math.floor((side - 1) / 2)
  const rest = (side - 1) / 2 - whole
  const line = new Float32Array(length)
  for (let nr = 0; nr < lines; nr += 1) {
    const start = nr * lineStep
    for (let at = 0; at < length; at += 1) line[at] = light[start + at * step] ?? 0
    const value = (at: number) => line[Math.max(0, Math.min(length - 1, at))] ?? 0
    let sum = 0
    for (let at = -whole; at <= whole; at += 1) sum += value(at)
    for (let at = 0; at < length; at += 1) {
      const ends = rest * (value(at - whole - 1) + value(at + whole + 1))
      light[start + at * step] = (sum + ends) / side
      sum += value(at + whole + 1) - value(at - whole)
    }
  }
}

/** Smears along a straight way, as when hand or tag move while the shutter is open. */
export function smear(scene: Scene, lengthPx: number, way: number): void {
  if (lengthPx < 0.5) return
  const { width, height } = scene
  const steps = Math.max(2, Math.ceil(lengthPx))
  const from = scene.light.slice()
  for (let y = 0; y < height; y += 1) {
    for (let x = 0; x < width; x += 1) {
      let sum = 0
      for (let nr = 0; nr < steps; nr += 1) {
        const far = (nr / (steps - 1) - 0.5) * lengthPx
        const px = Math.max(0, Math.min(width - 1, Math.round(x + far * Math.cos(way))))
        const py = Math.max(0, Math.min(height - 1, Math.round(y + far * Math.sin(way))))
        sum += from[py * width + px] ?? 0
      }
      scene.light[y * width + x] = sum / steps
    }
  }
}

const NORMAL_TABLE_SIZE = 1 << 16
let normals: Float32Array | null = null

/** The picture that the sensor gives: noise of standard deviation `sigma`, rounded, clipped. */
export function expose(scene: Scene, sigma: number, random: () => number): Picture {
  const picture = newPicture(scene.width, scene.height)
  const table = (normals ??= normalTable())
  for (let y = 0; y < scene.height; y += 1) {
    let from = Math.floor(random() * NORMAL_TABLE_SIZE)
    // An odd stride differs from row to row, so that no pattern repeats below itself.
    const stride = 1 + 2 * Math.floor(random() * 1000)
    for (let at = y * scene.width; at < (y + 1) * scene.width; at += 1) {
      from = (from + stride) & (NORMAL_TABLE_SIZE - 1)
      picture.grey[at] = (scene.light[at] ?? 0) + sigma * (table[from] ?? 0)
    }
  }
  return picture
}

/** Normal deviates in scrambled order, by the Box–Muller transform over a fixed grid. */
function normalTable(): Float32Array {
  const table = new Float32Array(NORMAL_TABLE_SIZE)
  let state = 12345
  const next = () => {
    state = (Math.imul(state, 1664525) + 1013904223) >>> 0
    return (state + 0.5) / 4294967296
  }
  for (let at = 0; at < table.length; at += 2) {
    const radius = Math.sqrt(-2 * Math.log(next()))
    const angle = 2 * Math.PI * next()
    table[at] = radius * Math.cos(angle)
    table[at + 1] = radius * Math.sin(angle)
  }
  return table
}
