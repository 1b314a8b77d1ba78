// Draws the rows that a recall reaches: one line a row, a sign of its own shape for each route.
import type { RecalledRow, VineRoute } from '../../trace/recall-vines.ts'
import { xmlText } from './svg-text.ts'

/** Most reached vines in one picture; more are told by the table alone. */
export const RECALL_MAP_LIMIT = 20_000

const PLACE = 8
const LINE = 18
const LABEL = 64
const TOP = 26

/**
 * Ink with at least 4.5 : 1 against white (WCAG 2.2, 1.4.11 asks 3 : 1); the shapes differ, so that
 * colour is never needed.
 */
const ink: Record<VineRoute, string> = { buds: '#b01e2b', trunk: '#6a3c9e', blade: '#8a4b00' }
const words: Record<VineRoute, string> = {
  buds: 'square: holds buds that may carry it',
  trunk: 'triangle: stands on a trunk that may carry it',
  blade: 'ring: worked with a blade that may have carried it',
}

/** One block's map as an `svg` element, or null when it has too many vines to draw. */
export function recallMapSvg(blockName: string, rows: readonly RecalledRow[]): string | null {
  const count = rows.reduce((sum, row) => sum + row.vines.length, 0)
  if (count > RECALL_MAP_LIMIT) return null
  const longest = rows.reduce((most, row) => Math.max(most, lengthOf(row)), 10)
  const width = LABEL + longest * PLACE + 16
  const used = (['buds', 'trunk', 'blade'] as const).filter((how) =>
    rows.some((row) => row.vines.some((vine) => vine.how === how)),
  )
  const height = TOP + rows.length * LINE + 12 + used.length * LINE
  const title = `${blockName}: ${count} vines reached`
  const key = used.map((how, nr) => drawKey(how, TOP + rows.length * LINE + 16 + nr * LINE))
  return [
    `<svg xmlns="http://www.w3.org/2000/svg" class="recall-map" width="${width}" `,
    `height="${height}" viewBox="0 0 ${width} ${height}" role="img" `,
    `font-family="sans-serif" font-size="11"><title>${xmlText(title)}</title>`,
    ...marks(longest),
    ...rows.map((row, nr) => drawRow(row, TOP + nr * LINE)),
    ...key,
    '</svg>',
  ].join('')
}

function lengthOf(row: RecalledRow): number {
  return Math.max(row.position_count ?? 0, ...row.vines.slice(-1).map((vine) => vine.position))
}

/** Numbers along the top, every ten positions. */
function marks(longest: number): string[] {
  const numbers: string[] = []
  for (let position = 10; position <= longest; position += 10) {
    const x = LABEL + position * PLACE
    numbers.push(`<text x="${x}" y="12" text-anchor="middle" fill="#3b3f45">${position}</text>`)
  }
  return numbers
}

function drawRow(row: RecalledRow, y: number): string {
  const end = LABEL + lengthOf(row) * PLACE + 4
  const label = xmlText((row.row_label ?? 'row').slice(0, 9))
  const byRoute = (how: VineRoute) =>
    row.vines.filter((vine) => vine.how === how).map((vine) => LABEL + vine.position * PLACE)
  return (
    `<text x="${LABEL - 8}" y="${y + 4}" text-anchor="end" fill="#22262a">${label}</text>` +
    `<path d="M${LABEL} ${y}H${end}" stroke="#b9bec4" fill="none"/>` +
    (['buds', 'trunk', 'blade'] as const).map((how) => signs(how, byRoute(how), y)).join('')
  )
}

function signs(how: VineRoute, xs: readonly number[], y: number): string {
  if (xs.length === 0) return ''
  const path = xs.map((x) => shape(how, x, y)).join('')
  return how === 'blade'
    ? `<path d="${path}" fill="#fff" stroke="${ink[how]}" stroke-width="1.6"/>`
    : `<path d="${path}" fill="${ink[how]}"/>`
}

function shape(how: VineRoute, x: number, y: number): string {
  if (how === 'buds') return `M${x - 3} ${y - 3}h6v6h-6z`
  if (how === 'trunk') return `M${x - 3.5} ${y + 3}h7l-3.5 -6.5z`
  return `M${x - 3} ${y}a3 3 0 1 0 6 0a3 3 0 1 0 -6 0z`
}

function drawKey(how: VineRoute, y: number): string {
  return signs(how, [LABEL + 4], y) + `<text x="${LABEL + 16}" y="${y + 4}">${words[how]}</text>`
}
