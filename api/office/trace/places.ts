// Where a found thing's own page and its traces are.
import type { Found } from '../../trace/find.ts'

/** The page of a thing, or null when it has none of its own. */
export function pageOf(found: Found): string | null {
  switch (found.kind) {
    case 'lot':
    case 'bundle':
      return `/lots/${found.id}`
    case 'source':
      return `/sources/${found.id}`
    case 'vine':
      return `/blocks/vines/${found.id}/${found.position ?? 0}`
    case 'row':
      return `/blocks/rows/${found.id}`
    case 'place':
      return '/store'
    case 'bath':
      return `/soak/${found.id}`
    case 'knife':
      return null
  }
}

/** The traces that can start at a thing. */
export function tracesOf(found: Found): { href: string; label: string }[] {
  const back = { href: `/trace/back/lot/${found.id}`, label: 'back to its sources' }
  const forward = (kind: string) => ({
    href: `/trace/forward/${kind}/${found.id}`,
    label: 'forward to its vines',
  })
  if (found.kind === 'lot' || found.kind === 'bundle') return [back, forward('lot')]
  if (found.kind === 'source') return [forward('source')]
  if (found.kind === 'bath') return [forward('bath')]
  if (found.kind !== 'vine') return []
  const href = `/trace/back/vine/${found.id}/${found.position ?? 0}`
  return [{ href, label: 'back to its sources' }]
}
