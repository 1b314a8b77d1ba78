// Finds the places of a picture that change most both ways, as symbols do, and cuts them out.
import { newPicture } from './picture.ts'
import type { Picture, Point } from './picture.ts'

/** Side of the squares that are weighed, in pixels. */
const CELL_PX = 8
/** Distance over which a change is looked at, in pixels: a blurred edge is no sharper. */
const STEP_PX = 2
/** Side of the window in which cells are added up, in cells: a symbol some way off. */
const WINDOW_CELLS = 10

/**
 * Middles of the liveliest windows, liveliest first. Bark and leaves change as well, but less
 * evenly in both directions than a symbol; noise is the same everywhere and drops out.
 * @param limit most places that are wanted
 */
export function livelyPlaces(picture: Picture, limit: number): Point[] {
  const wide = Math.floor(picture.width / CELL_PX)
  const high = Math.floor(picture.height / CELL_PX)
  if (wide < WINDOW_CELLS || high < WINDOW_CELLS) return []
  const sums = summed(cellChanges(picture, wide, high), wide, high)
  const places: Point[] = []
  const taken: { x: number; y: number }[] = []
  for (let nr = 0; nr < limit; nr += 1) {
    let best = 0
    let at = { x: -1, y: -1 }
    for (let y = 0; y + WINDOW_CELLS <= high; y += 1) {
      for (let x = 0; x + WINDOW_CELLS <= wide; x += 1) {
        const sum = windowSum(sums, wide, x, y)
        if (sum <= best) continue
        if (taken.some((one) => near(one.x - x) && near(one.y - y))) continue
        best = sum
        at = { x, y }
      }
    }
    if (best <= 0) break
    taken.push(at)
    const half = WINDOW_CELLS / 2
    places.push({ x: (at.x + half) * CELL_PX, y: (at.y + half) * CELL_PX })
  }
  return places
}

/** A square cut out around a place, moved inside the picture, with its upper left corner. */
export function cutOut(
  { width, height, grey }: Picture,
  place: Point,
  sidePx: number,
): { readonly picture: Picture; readonly left: number; readonly top: number } {
  const wide = Math.min(sidePx, width)
  const high = Math.min(sidePx, height)
  const left = Math.max(0, Math.min(width - wide, Math.round(place.x - wide / 2)))
  const top = Math.max(0, Math.min(height - high, Math.round(place.y - high / 2)))
  const picture = newPicture(wide, high)
  for (let y = 0; y < high; y += 1) {
    const from = (top + y) * width + left
    picture.grey.set(grey.subarray(from, from + wide), y * wide)
  }
  return { picture, left, top }
}

function near(cells: number): boolean {
  return Math.abs(cells) < WINDOW_CELLS
}

/** How much each cell changes in the direction in which it changes less, above the usual. */
function cellChanges({ width, grey }: Picture, wide: number, high: number): Float32Array {
  const changes = new Float32Array(wide * high)
  for (let cellY = 0; cellY < high; cellY += 1) {
    for (let cellX = 0; cellX < wide; cellX += 1) {
      let across = 0
      let down = 0
      for (let y = cellY * CELL_PX; y < (cellY + 1) * CELL_PX - STEP_PX; y += 1) {
        const row = y * width + cellX * CELL_PX
        for (let at = row; at < row + CELL_PX - STEP_PX; at += 1) {
          const here = grey[at] ?? 0
          across += Math.abs((grey[at + STEP_PX] ?? 0) - here)
          down += Math.abs((grey[at + STEP_PX * width] ?? 0) - here)
        }
      }
      changes[cellY * wide + cellX] = Math.min(across, down)
    }
  }
  const usual = changes.slice().sort()[changes.length >> 1] ?? 0
  for (let at = 0; at < changes.length; at += 1) changes[at] = (changes[at] ?? 0) - usual
  return changes
}

function summed(cells: Float32Array, wide: number, high: number): Float64Array {
  const sums = new Float64Array((wide + 1) * (high + 1))
  for (let y = 0; y < high; y += 1) {
    let row = 0
    for (let x = 0; x < wide; x += 1) {
      row += cells[y * wide + x] ?? 0
      sums[(y + 1) * (wide + 1) + x + 1] = row + (sums[y * (wide + 1) + x + 1] ?? 0)
    }
  }
  return sums
}

function windowSum(sums: Float64Array, wide: number, x: number, y: number): number {
  const upper = y * (wide + 1)
  const lower = (y + WINDOW_CELLS) * (wide + 1)
  const right = x + WINDOW_CELLS
  return (
    (sums[lower + right] ?? 0) -
    (sums[lower + x] ?? 0) -
    (sums[upper + right] ?? 0) +
    (sums[upper + x] ?? 0)
  )
}
