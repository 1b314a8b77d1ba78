// Draws the sign of each vine state: a shape of its own, so that black-and-white print suffices.
import type { VineState } from './block-map-vines.ts'

/** Half the width of a sign, in SVG units. */
export const SIGN_RADIUS = 4

/** A point in SVG units. */
export interface Point {
  x: number
  y: number
}

/**
 * Ink colours, each at least 4.5 : 1 against white by the WCAG 2.2 contrast formula (graphics
 * need 3 : 1, criterion 1.4.11).
 */
export const signInk: Readonly<Record<VineState, string>> = {
  standing: '#4d535a',
  planned: '#1c5aa0',
  grafted: '#00626b',
  growing: '#1b7338',
  callused: '#8a4b00',
  failed: '#b01e2b',
  skipped: '#6a3c9e',
  removed: '#3b3f45',
  missing: '#4d535a',
  empty: '#6d737a',
}

/**
 * Draws all vines of one state as a few paths, whatever their number. A stroke of no length with
 * round caps is a disc; the same path in a narrower white stroke makes it a ring.
 *
 * @param id of the shared path, unique in the document
 */
export function drawSigns(state: VineState, points: readonly Point[], id: string): string {
  if (points.length === 0) return ''
  return `<g data-state="${state}">${signPaths(state, points, id)}</g>`
}

function signPaths(state: VineState, points: readonly Point[], id: string): string {
  const ink = signInk[state]
  switch (state) {
    case 'growing':
      return dots(points, id, [[ink, 8]])
    case 'planned':
      return dots(points, id, [
        [ink, 8],
        ['#fff', 5],
      ])
    case 'grafted':
      return dots(points, id, [
        [ink, 8],
        ['#fff', 5.6],
        [ink, 2.8],
      ])
    case 'callused':
      return (
        dots(points, id, [
          [ink, 8],
          ['#fff', 5.4],
        ]) + filled(points, ink, (at) => `M${at.x - 4} ${at.y}a4 4 0 0 0 8 0z`)
      )
    case 'failed':
      return lines(points, ink, 2.2, (at) => `M${at.x - 3} ${at.y - 3}l6 6m0-6l-6 6`)
    case 'skipped':
      return lines(points, ink, 1.5, (at) => `M${at.x - 4} ${at.y + 3}h8l-4-7z`)
    case 'removed':
      return lines(points, ink, 1.3, (at) => `M${at.x - 3} ${at.y - 3}h6v6h-6zl6 6`)
    case 'standing':
      return lines(points, ink, 1.5, (at) => `M${at.x} ${at.y - 4}v8`)
    case 'missing':
      return lines(points, ink, 1.8, (at) => `M${at.x - 3} ${at.y}h6`)
    case 'empty':
      return dots(points, id, [[ink, 2]])
  }
}

function dots(points: readonly Point[], id: string, layers: readonly [string, number][]): string {
  const data = points.map((at) => `M${at.x} ${at.y}h0`).join('')
  const [first, ...over] = layers.map(([ink, width]) => `stroke="${ink}" stroke-width="${width}"`)
  const copies = over.map((stroke) => `<use href="#${id}" ${stroke}/>`).join('')
  return (
    `<g fill="none" stroke-linecap="round"><defs><path id="${id}" d="${data}"/></defs>` +
    `<use href="#${id}" ${first}/>${copies}</g>`
  )
}

function lines(
  points: readonly Point[],
  ink: string,
  width: number,
  shape: (at: Point) => string,
): string {
  const data = points.map(shape).join('')
  return `<path fill="none" stroke="${ink}" stroke-width="${width}" d="${data}"/>`
}

function filled(points: readonly Point[], ink: string, shape: (at: Point) => string): string {
  return `<path fill="${ink}" d="${points.map(shape).join('')}"/>`
}
