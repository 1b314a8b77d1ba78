// The pages of the menu entry People, listed on each of them.

const pages = [
  { href: '/people', label: 'People' },
  { href: '/people/devices', label: 'Devices' },
  { href: '/people/audits', label: 'Auditors' },
] as const

/** Links between the pages; the one that is shown is marked. */
export function PeopleMenu({ at }: { at: (typeof pages)[number]['href'] }) {
  return (
    <nav class="parts" aria-label="People">
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
