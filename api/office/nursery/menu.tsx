// The pages of the menu entry Nursery, listed on each of them.

const pages = [
  { href: '/nursery', label: 'Particulars' },
  { href: '/nursery/varieties', label: 'Varieties' },
  { href: '/nursery/parties', label: 'Firms and crews' },
  { href: '/nursery/policies', label: 'Policies' },
] as const

/** Links between the pages; the one that is shown is marked. */
export function NurseryMenu({ at }: { at: (typeof pages)[number]['href'] }) {
  return (
    <nav class="parts" aria-label="Nursery">
      <ul>
        {pages.map((page) => (
          <li>
            <a href={page.href} {...(page.href === at ? { 'aria-current': 'page' as const } : {})}>
              {page.label}
            </a>
          </li>
        ))}
      </ul>
    </nav>
  )
}
