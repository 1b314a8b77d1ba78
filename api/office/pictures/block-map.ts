// Draws a block of vines as SVG: each row a line, each vine a sign of its state.
import { drawKey, keyHeight } from './block-map-key.ts'
import {
  BLOCK_MAP_PLACE_LIMIT,
  PLACE_WIDTH,
  layOutBlock,
  placeCount,
  type BlockMapLayout,
  type BlockMapSheet,
  type CountFrom,
} from './block-map-layout.ts'
import { drawGround, QUIET_INK } from './block-map-ground.ts'
import {
  drawLinks,
  LABEL_CHARACTERS,
  VINE_LINK_LIMIT,
  type BlockMapLinks,
} from './block-map-links.ts'
import { drawSigns, type Point } from './block-map-signs.ts'
import {
  blockCounts,
  countWords,
  strayVines,
  vineStateNames,
  type BlockMapBlock,
  type BlockMapRow,
  type VineState,
} from './block-map-vines.ts'
import { assertIdPrefix, counted, xmlText } from './svg-text.ts'

export interface BlockMapOptions extends BlockMapLinks {
  /** The end from which positions are numbered along the edge; the head unless told. */
  countFrom?: CountFrom
  /** Draws a part of the block only. */
  sheet?: BlockMapSheet
  /** What the ids in the picture begin with; needed where a page has several maps. */
  idPrefix?: string
}

/**
 * Draws the map as one `svg` element. It uses no script, no style sheet and nothing from
 * elsewhere. Put `blockMapTable` on the same page: it has the numbers and links for those who
 * cannot see the map or do not use a mouse.
 *
 * @throws RangeError when more than `BLOCK_MAP_PLACE_LIMIT` places would be drawn: draw the
 * parts that `blockMapSheets` gives
 */
export function blockMapSvg(block: BlockMapBlock, options: BlockMapOptions = {}): string {
  const places = placeCount(block, options.sheet)
  if (places > BLOCK_MAP_PLACE_LIMIT) {
    throw new RangeError(
      `the block map would draw ${places} places; the limit is ${BLOCK_MAP_PLACE_LIMIT}: ` +
        'draw it in sheets',
    )
  }
  const { countFrom = 'head', idPrefix = 'block-map' } = options
  assertIdPrefix(idPrefix)
  const counts = blockCounts(block.rows)
  const gutter = gutterWidth(block.rows)
  const width = Math.max(MINIMAL_WIDTH, gutter * 2 + mapColumns(block, options.sheet) * PLACE_WIDTH)
  const key = { counts, countFrom, width, idPrefix }
  const headingHeight = block.rows.some((row) => strayVines(row).length > 0) ? 60 : 44
  const corner = { x: gutter, y: headingHeight + keyHeight(key) + AXIS_HEIGHT }
  const layout = layOutBlock(block, countFrom, corner, options.sheet)
  const height = layout.bottom + AXIS_HEIGHT + 6
  const drawing = [
    `<rect width="${width}" height="${height}" fill="#fff"/>`,
    drawHeading(block, layout, places),
    `<g data-part="key" transform="translate(0 ${headingHeight})">${drawKey(key)}</g>`,
    drawGround(layout, countFrom),
    drawVines(layout, idPrefix),
  ]
  return (
    `<svg xmlns="http://www.w3.org/2000/svg" class="block-map" width="${width}" ` +
    `height="${height}" viewBox="0 0 ${width} ${height}" ` +
    'font-family="system-ui, \'DejaVu Sans\', Arial, sans-serif" font-size="11" fill="#1d2320">' +
    `<g role="img" aria-labelledby="${idPrefix}-title ${idPrefix}-about">` +
    `<title id="${idPrefix}-title">${xmlText(`Map of block ${block.blockName}`)}</title>` +
    `<desc id="${idPrefix}-about">${xmlText(aboutWords(block, counts, layout))}</desc>` +
    `${drawing.join('')}</g>${drawLinks(layout, options, countFrom, places)}` +
    '</svg>'
  )
}

const AXIS_HEIGHT = 20
const MINIMAL_WIDTH = 640

function gutterWidth(rows: readonly BlockMapRow[]): number {
  const longest = Math.max(0, ...rows.map((row) => Array.from(row.label).length))
  return 44 + Math.min(LABEL_CHARACTERS, longest) * 7
}

function mapColumns(block: BlockMapBlock, sheet: BlockMapSheet | undefined): number {
  const longest = block.rows.reduce((most, row) => Math.max(most, row.positionCount), 0)
  return sheet === undefined ? longest : Math.min(longest, sheet.toColumn) - sheet.fromColumn + 1
}

function aboutWords(
  block: BlockMapBlock,
  counts: Record<VineState, number>,
  layout: BlockMapLayout,
): string {
  const stray = layout.strays.length === 0 ? '' : ` ${strayWords(layout)}`
  return `${counted(block.rows.length)} rows: ${countWords(counts)}.${stray}`
}

function strayWords(layout: BlockMapLayout): string {
  const [first] = layout.strays
  const more = layout.strays.length - 1
  const others = more === 0 ? '' : ` and ${counted(more)} more`
  return (
    `Not drawn, because the row is shorter: row ${first?.row.label ?? ''}, ` +
    `vine ${first?.vine.position ?? ''}${others}.`
  )
}

function drawHeading(block: BlockMapBlock, layout: BlockMapLayout, places: number): string {
  const { sheet } = layout
  const whole = layout.rows.length === block.rows.length && sheet.toColumn >= layout.columnCount
  const part =
    whole && sheet.fromColumn === 1
      ? ''
      : ` · this part: rows ${sheet.fromRow} to ${sheet.toRow} in order, columns ` +
        `${sheet.fromColumn} to ${sheet.toColumn}; the key counts the whole block`
  const total = block.rows.reduce((sum, row) => sum + row.positionCount, 0)
  const sums = `${counted(block.rows.length)} rows · ${counted(total)} places${part}`
  const links = places > VINE_LINK_LIMIT ? ' · hover over a row for its numbers' : ''
  const stray =
    layout.strays.length === 0
      ? ''
      : `<text x="12" y="53" font-weight="700">${xmlText(strayWords(layout))}</text>`
  return (
    `<text x="12" y="20" font-size="16" font-weight="700">${xmlText(block.blockName)}</text>` +
    `<text x="12" y="37" fill="${QUIET_INK}">${xmlText(sums + links)}</text>${stray}`
  )
}

function drawVines(layout: BlockMapLayout, idPrefix: string): string {
  const points = new Map<VineState, Point[]>(vineStateNames.map((state) => [state, []]))
  for (const placed of layout.rows) {
    for (const { vine, at } of placed.vines) points.get(vine.state)?.push(at)
  }
  const signs = [...points].map(([state, at]) => drawSigns(state, at, `${idPrefix}-${state}`))
  return signs.join('')
}
