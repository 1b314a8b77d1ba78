// The ground of a block map: bands, numbers along the edges, head and far end of each row.
import {
  BAND_ROWS,
  PLACE_WIDTH,
  ROW_HEIGHT,
  type BlockMapLayout,
  type CountFrom,
  type PlacedRow,
  type Side,
} from './block-map-layout.ts'

/** Ink of numbers and side remarks; 6.5 : 1 against white. */
export const QUIET_INK = '#55605a'
/** Tint of every other band of rows. */
export const BAND_TINT = '#f1efe8'

/** Draws bands of rows, a line at each tenth place, numbers, and the marks at both row ends. */
export function drawGround(layout: BlockMapLayout, countFrom: CountFrom): string {
  const { left, right, top, bottom } = layout
  const bands: string[] = []
  for (let row = 0; row < layout.rows.length; row += BAND_ROWS * 2) {
    const height = Math.min(BAND_ROWS, layout.rows.length - row) * ROW_HEIGHT
    bands.push(`M${left} ${top + row * ROW_HEIGHT}h${right - left}v${height}H${left}z`)
  }
  const sides = [...new Set(layout.rows.map((row) => row.originSide))].sort()
  const axes = sides.map((side, index) => {
    const edges: ('top' | 'bottom')[] =
      sides.length === 1 ? ['top', 'bottom'] : [index === 0 ? 'top' : 'bottom']
    return drawAxis(layout, side, edges, countFrom)
  })
  const heads = layout.rows.filter((placed) => placed.showsHead).map(headMark)
  const ends = layout.rows.filter((placed) => placed.showsFarEnd)
  return (
    `<path fill="${BAND_TINT}" d="${bands.join('')}"/>` +
    `<path fill="none" stroke="#8b9089" d="M${left} ${top}H${right}M${left} ${bottom}H${right}"/>` +
    axes.join('') +
    `<path d="${heads.join('')}"/>` +
    `<path fill="none" stroke="#1d2320" stroke-width="1.5" d="${ends.map(endMark).join('')}"/>` +
    `<g fill="${QUIET_INK}" font-size="9">${ends.map(endNumber).join('')}</g>`
  )
}

// With one axis above and another below, each bears the pointer of the rows that it numbers.
function drawAxis(
  layout: BlockMapLayout,
  side: Side,
  edges: ('top' | 'bottom')[],
  countFrom: CountFrom,
): string {
  const { sheet, columnCount, left, top, bottom } = layout
  const guides: string[] = []
  const numbers: string[] = []
  const toColumn = Math.min(sheet.toColumn, columnCount)
  for (let column = sheet.fromColumn; column <= toColumn; column += 1) {
    const number = side === 'left' ? column : columnCount + 1 - column
    if (number !== 1 && number % 10 !== 0) continue
    const x = left + (column - sheet.fromColumn) * PLACE_WIDTH + PLACE_WIDTH / 2
    for (const edge of edges) {
      const y = edge === 'top' ? top - 7 : bottom + 15
      numbers.push(`<text x="${x}" y="${y}">${number}</text>`)
      guides.push(edge === 'top' ? `M${x} ${top}v-4` : `M${x} ${bottom}v4`)
    }
    if (number % 10 === 0 && edges.length === 2) guides.push(`M${x} ${top}V${bottom}`)
  }
  const rows = (countFrom === 'head') === (side === 'left') ? 'v8l6-4z' : 'm6 0v8l-6-4z'
  const y = edges[0] === 'top' ? top - 14 : bottom + 8
  const pointer = edges.length === 2 ? '' : `<path d="M${left - 16} ${y}${rows}"/>`
  return (
    `${pointer}<path fill="none" stroke="#c9c4b4" d="${guides.join('')}"/>` +
    `<g fill="${QUIET_INK}" font-size="10" text-anchor="middle">${numbers.join('')}</g>`
  )
}

// A solid pointer before position 1, pointing the way the positions count.
function headMark({ headSide, left, right, y }: PlacedRow): string {
  return headSide === 'left' ? `M${left - 9} ${y - 4}v8l6-4z` : `M${right + 9} ${y - 4}v8l-6-4z`
}

// A bracket, so that it is not taken for the sign of a standing vine.
function endMark({ headSide, left, right, y }: PlacedRow): string {
  return headSide === 'left' ? `M${right + 1} ${y - 5}h3v10h-3` : `M${left - 1} ${y - 5}h-3v10h3`
}

function endNumber({ headSide, left, right, y, row }: PlacedRow): string {
  const x = headSide === 'left' ? right + 8 : left - 8
  const anchor = headSide === 'left' ? '' : ' text-anchor="end"'
  return `<text x="${x}" y="${y + 3}"${anchor}>${row.positionCount}</text>`
}
