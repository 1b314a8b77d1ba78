// The tooltips and links of a block map, and the row labels that carry the row links.
import { PLACE_WIDTH, ROW_HEIGHT, type BlockMapLayout, type CountFrom } from './block-map-layout.ts'
import { rowWords, vineWords } from './block-map-vines.ts'
import { shortened, siteLink, xmlText } from './svg-text.ts'

/** Up to how many places each vine has a link and a tooltip of its own; above, each row has. */
export const VINE_LINK_LIMIT = 6_000
/** Most characters of a row label that are drawn; tooltip and table have it whole. */
export const LABEL_CHARACTERS = 12

/** Where vines and rows lead to: paths on this site; positions count from the head. */
export interface BlockMapLinks {
  vineHref?: (rowId: string, position: number) => string
  rowHref?: (rowId: string) => string
}

/**
 * Row labels, and transparent areas over the drawing that carry tooltips. Their links are for the
 * mouse; they are too close together for anything else, so keyboard and screen readers are left to
 * the table, which has the same links.
 */
export function drawLinks(
  layout: BlockMapLayout,
  links: BlockMapLinks,
  countFrom: CountFrom,
  places: number,
): string {
  const areas = layout.rows.flatMap((placed) => {
    const { row, y, left, right } = placed
    const top = y - ROW_HEIGHT / 2
    if (places > VINE_LINK_LIMIT) {
      const box = `M${left} ${top}H${right}v${ROW_HEIGHT}H${left}z`
      return linkArea(siteLink(links.rowHref?.(row.rowId)), rowWords(row), box)
    }
    return placed.vines.map(({ vine, at }) => {
      const box = `M${at.x - PLACE_WIDTH / 2} ${top}h${PLACE_WIDTH}v${ROW_HEIGHT}h-${PLACE_WIDTH}z`
      const href = siteLink(links.vineHref?.(row.rowId, vine.position))
      return linkArea(href, vineWords(row, vine, countFrom === 'far'), box)
    })
  })
  return (
    `<g aria-hidden="true">${drawLabels(layout, links)}` +
    `<g fill="none" pointer-events="all">${areas.join('')}</g></g>`
  )
}

function drawLabels(layout: BlockMapLayout, links: BlockMapLinks): string {
  const x = layout.left - 32
  return layout.rows
    .map(({ row, y }) => {
      const name = xmlText(shortened(row.label, LABEL_CHARACTERS))
      const href = siteLink(links.rowHref?.(row.rowId))
      const text = `<text x="${x}" y="${y + 4}" text-anchor="end">${name}</text>`
      const title = `<title>${xmlText(rowWords(row))}</title>`
      if (href === null) return `<g>${title}${text}</g>`
      return `<a href="${xmlText(href)}" tabindex="-1">${title}${text}</a>`
    })
    .join('')
}

function linkArea(href: string | null, words: string, box: string): string {
  const title = `<title>${xmlText(words)}</title>`
  if (href === null) return `<path d="${box}">${title}</path>`
  return `<a href="${xmlText(href)}" tabindex="-1">${title}<path d="${box}"/></a>`
}
