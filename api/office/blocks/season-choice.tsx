// Chooses the season that a page tells of: one year, or each vine's latest.

/** The season asked for in the address; null for each vine's latest. */
export function seasonAsked(text: string | undefined): number | null {
  const season = /^\d{4}$/.test(text ?? '') ? Number(text) : 0
  return season >= 1800 && season <= 2099 ? season : null
}

/** Links to the seasons that have something to show; nothing when there is at most one. */
export function SeasonChoice(props: { path: string; seasons: number[]; season: number | null }) {
  const { path, seasons, season } = props
  if (seasons.length < 2 && season === null) return null
  const links = [
    { href: path, label: 'as it stands now', chosen: season === null },
    ...seasons.map((year) => ({
      href: `${path}?season=${year}`,
      label: String(year),
      chosen: season === year,
    })),
  ]
  return (
    <nav class="parts" aria-label="Season">
      <ul>
        {links.map(({ href, label, chosen }) => (
          <li>
            <a href={href} {...(chosen ? { 'aria-current': 'true' as const } : {})}>
              {label}
            </a>
          </li>
        ))}
      </ul>
    </nav>
  )
}
