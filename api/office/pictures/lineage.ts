// Draws a lineage as SVG: what a vine, lot or stock is made of, and what its wood touched.
import type { Point } from './block-map-signs.ts'
import { foldLineage, type FoldedLineage } from './lineage-fold.ts'
import { isContact, type LineageGraph } from './lineage-graph.ts'
import { placeLineage, type PlacedArrow, type Placement } from './lineage-layout.ts'
import { STACK_OFFSET, drawSign, signSize } from './lineage-signs.ts'
import { arrowWords, signWords } from './lineage-words.ts'
import { assertIdPrefix, counted, siteLink, shortened, textWidth, xmlText } from './svg-text.ts'

export interface LineageOptions {
  /** What the picture is of, such as “Lineage of lot 26-014”. */
  title: string
  /** What the ids in the picture begin with; needed where a page has several. */
  idPrefix?: string
}

/**
 * Draws the lineage as one `svg` element, from left (origins) to right (outcomes). It uses no
 * script, no style sheet and nothing from elsewhere; Graphviz only works out where things stand.
 * Signs of single records link to their page; a sign of several says how many it holds, and the
 * table (`lineageTable`) lists them.
 *
 * @throws RangeError for a graph that `assertGraph` stops; Error when Graphviz fails
 */
export async function lineageSvg(graph: LineageGraph, options: LineageOptions): Promise<string> {
  const { title, idPrefix = 'lineage' } = options
  assertIdPrefix(idPrefix)
  const fold = foldLineage(graph)
  const words = fold.nodes.map(signWords)
  const sizes = fold.nodes.map((node) => signSize(signWords(node), node.kind))
  const arrows = fold.edges.map((edge) => arrowWords(edge, fold.nodes))
  const placement = await placeLineage(
    sizes,
    fold.edges.map(({ from, to }, index) => ({
      from,
      to,
      labelSize: labelSize(arrows[index]?.label ?? ''),
    })),
  )
  const about = aboutWords(graph, fold)
  const origin = { x: MARGIN, y: HEADING_HEIGHT + MARGIN + STACK_OFFSET }
  const width = Math.max(placement.width + MARGIN * 2 + STACK_OFFSET, 460)
  const height = placement.height + origin.y + MARGIN
  return (
    `<svg xmlns="http://www.w3.org/2000/svg" class="lineage" width="${width}" ` +
    `height="${height}" viewBox="0 0 ${width} ${height}" role="group" ` +
    `aria-labelledby="${idPrefix}-title" aria-describedby="${idPrefix}-about" ` +
    'font-family="system-ui, \'DejaVu Sans\', Arial, sans-serif" font-size="11" fill="#1d2320">' +
    `<title id="${idPrefix}-title">${xmlText(title)}</title>` +
    `<desc id="${idPrefix}-about">${xmlText(about)}</desc>` +
    `<rect width="${width}" height="${height}" fill="#fff"/>` +
    drawHeading(title, fold, graph) +
    `<g transform="translate(${origin.x} ${origin.y})">` +
    `<g aria-hidden="true">${drawArrows(fold, placement, arrows)}</g>` +
    `${drawSigns(fold, placement, words, sizes)}</g></svg>`
  )
}

const MARGIN = 14
const HEADING_HEIGHT = 40
const ARROW_LABEL_SIZE = 10
const ARROW_LABEL_CHARACTERS = 18
const ARROW_INK = '#4f5953'

function aboutWords(graph: LineageGraph, fold: FoldedLineage): string {
  const grouped = fold.nodes.filter((node) => node.members.length > 1)
  const records = `${counted(graph.nodes.length)} records and ${counted(graph.edges.length)} links`
  if (grouped.length === 0) return `${records}, from origins on the left to outcomes on the right.`
  const members = grouped.reduce((sum, node) => sum + node.members.length, 0)
  return (
    `${records}, drawn as ${counted(fold.nodes.length)} signs; ${counted(members)} records ` +
    `stand together in ${counted(grouped.length)} groups. The table lists each.`
  )
}

function drawHeading(title: string, fold: FoldedLineage, graph: LineageGraph): string {
  const grouped = fold.nodes.some((node) => node.members.length > 1)
  const contact = fold.edges.some((edge) => isContactEdge(fold, edge))
  const remarks = [
    `${counted(graph.nodes.length)} records`,
    grouped ? `drawn as ${counted(fold.nodes.length)}: a stack holds several` : '',
    contact ? 'broken lines: contact only' : '',
  ]
  const line = remarks.filter((remark) => remark !== '').join(' · ')
  return (
    `<text x="${MARGIN}" y="22" font-size="16" font-weight="700">${xmlText(title)}</text>` +
    `<text x="${MARGIN}" y="39" fill="#55605a">${xmlText(line)}</text>`
  )
}

function labelSize(label: string): { width: number; height: number } | null {
  if (label === '') return null
  const shown = shortened(label, ARROW_LABEL_CHARACTERS)
  return { width: textWidth(shown, ARROW_LABEL_SIZE) + 8, height: 15 }
}

function isContactEdge(fold: FoldedLineage, edge: { from: number; to: number }): boolean {
  const from = fold.nodes[edge.from]
  const to = fold.nodes[edge.to]
  return from !== undefined && to !== undefined && isContact(from.kind, to.kind)
}

function drawArrows(
  fold: FoldedLineage,
  placement: Placement,
  words: readonly { label: string; full: string }[],
): string {
  const drawn = fold.edges.map((edge, index) => {
    const arrow = placement.arrows[index]
    const said = words[index]
    if (arrow === undefined || said === undefined) return ''
    const dash = isContactEdge(fold, edge) ? ' stroke-dasharray="6 4"' : ''
    const line = curvePath(arrow)
    return (
      `<g><title>${xmlText(said.full)}</title>` +
      `<path fill="none" stroke="#fff" stroke-opacity="0" stroke-width="10" d="${line}"/>` +
      `<path fill="none" stroke="${ARROW_INK}" stroke-width="1.4"${dash} d="${line}"/>` +
      `<path fill="${ARROW_INK}" d="${tipPath(arrow)}"/>${drawArrowLabel(arrow, said.label)}</g>`
    )
  })
  return drawn.join('')
}

function drawArrowLabel(arrow: PlacedArrow, label: string): string {
  const at = arrow.label
  const size = labelSize(label)
  if (at === null || size === null) return ''
  const x = at.x - size.width / 2
  return (
    `<rect x="${x}" y="${at.y - 7.5}" width="${size.width}" height="${size.height}" fill="#fff"/>` +
    `<text x="${at.x}" y="${at.y + 3.5}" font-size="${ARROW_LABEL_SIZE}" text-anchor="middle">` +
    `${xmlText(shortened(label, ARROW_LABEL_CHARACTERS))}</text>`
  )
}

function curvePath({ curve }: PlacedArrow): string {
  const [start, ...rest] = curve.map(({ x, y }) => `${x} ${y}`)
  return `M${start ?? ''}C${rest.join(' ')}`
}

// A slim triangle from the end of the curve to the tip.
function tipPath({ curve, tip }: PlacedArrow): string {
  const from = curve.at(-1) ?? tip
  const length = Math.hypot(tip.x - from.x, tip.y - from.y) || 1
  const across: Point = { x: (-(tip.y - from.y) / length) * 3, y: ((tip.x - from.x) / length) * 3 }
  const corner = (sign: number): string =>
    `${(from.x + sign * across.x).toFixed(1)} ${(from.y + sign * across.y).toFixed(1)}`
  return `M${tip.x} ${tip.y}L${corner(1)}L${corner(-1)}z`
}

function drawSigns(
  fold: FoldedLineage,
  placement: Placement,
  words: readonly ReturnType<typeof signWords>[],
  sizes: readonly ReturnType<typeof signSize>[],
): string {
  const drawn = fold.nodes.map((node, index) => {
    const middle = placement.signs[index]
    const said = words[index]
    const size = sizes[index]
    if (middle === undefined || said === undefined || size === undefined) return ''
    const several = node.members.length > 1
    const sign = drawSign(middle, size, said, { kind: node.kind, focus: node.focus, several })
    const inside = `<title>${xmlText(said.full)}</title>${sign}`
    const href = several ? null : siteLink(node.members[0]?.href)
    if (href !== null) return `<a href="${xmlText(href)}">${inside}</a>`
    return `<g role="img" aria-label="${xmlText(said.full)}">${inside}</g>`
  })
  return drawn.join('')
}
