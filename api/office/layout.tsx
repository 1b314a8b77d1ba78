// The frame of every office page: heading, menu, what the page says, who is working.
import type { Context } from 'hono'
import type { Child } from 'hono/jsx'
import { may } from '../people/rights.ts'
import { routeRight } from '../people/route-rights.ts'
import type { CurrentPerson, Env } from '../platform/services.ts'

/** One entry of the menu; each has a folder of its own under api/office. */
export const menu = [
  { href: '/today', label: 'Today' },
  { href: '/lots', label: 'Lots' },
  { href: '/store', label: 'Cold store' },
  { href: '/soak', label: 'Soak' },
  { href: '/custody', label: 'Custody' },
  { href: '/blocks', label: 'Blocks' },
  { href: '/sources', label: 'Sources' },
  { href: '/trace', label: 'Trace' },
  { href: '/tags', label: 'Tags' },
  { href: '/findings', label: 'Findings' },
  { href: '/journal', label: 'Journal' },
  { href: '/nursery', label: 'Nursery' },
  { href: '/people', label: 'People' },
] as const

const auditorMenu = [{ href: '/opened', label: 'What was opened' }] as const

/** The entries that this person can open. */
function menuOf(person: CurrentPerson) {
  if (person.role === 'auditor') return auditorMenu
  return menu.filter(({ href }) => {
    const row = routeRight('GET', href)
    return row !== null && may(person.role, row.right)
  })
}

/** A whole page. `title` is the heading; `actions` stand beside it and are not printed. */
export function Page(props: {
  c: Context<Env>
  title: string
  lead?: Child
  actions?: Child
  children?: Child
}) {
  const path = props.c.req.path
  const person = props.c.get('person')
  return (
    <html lang="en">
      <head>
        <meta charset="utf-8" />
        <meta name="viewport" content="width=device-width, initial-scale=1" />
        <title>{`${props.title} – Canemark`}</title>
        <link rel="stylesheet" href="/assets/office.css" />
        <link rel="icon" href="/assets/mark.svg" type="image/svg+xml" />
      </head>
      <body>
        <a class="skip" href="#content">
          Skip to the page
        </a>
        <header class="frame">
          <a class="mark" href={person?.role === 'auditor' ? '/opened' : '/today'}>
            Canemark
          </a>
          {person === undefined ? null : <Menu person={person} path={path} />}
        </header>
        <main id="content">
          <div class="head">
            <h1>{props.title}</h1>
            {props.actions === undefined || person?.role === 'auditor' ? null : (
              <div class="actions">{props.actions}</div>
            )}
          </div>
          {props.lead === undefined ? null : <p class="lead">{props.lead}</p>}
          {props.children}
        </main>
      </body>
    </html>
  )
}

function Menu({ person, path }: { person: CurrentPerson; path: string }) {
  const isAuditor = person.role === 'auditor'
  return (
    <>
      <nav aria-label="Main">
        <ul>
          {menuOf(person).map((item) => (
            <li>
              <a href={item.href} {...(path.startsWith(item.href) ? current : {})}>
                {item.label}
              </a>
            </li>
          ))}
        </ul>
      </nav>
      {isAuditor ? null : (
        <form class="find" action="/find" role="search">
          <label for="find">Tag, lot or vine</label>
          <input id="find" name="q" type="search" size={14} autocomplete="off" />
          <button>Find</button>
        </form>
      )}
      <div class="who">
        {isAuditor ? <span>{person.name}</span> : <a href="/me">{person.name}</a>}
        <form method="post" action="/sign-out">
          <button class="quiet">Sign out</button>
        </form>
      </div>
    </>
  )
}

const current = { 'aria-current': 'page' as const }

export type Verdict = 'ready' | 'caution' | 'stop'

const verdictShapes: Record<Verdict, Child> = {
  ready: <path d="M2 9 L7 14 L16 3" fill="none" stroke="currentColor" stroke-width="3" />,
  caution: <path d="M9 1 L17 16 L1 16 Z M9 6 V11 M9 13 V14.5" fill="none" stroke="currentColor" />,
  stop: (
    <path d="M2 2 H16 V16 H2 Z M5 9 H13" fill="none" stroke="currentColor" stroke-width="2.5" />
  ),
}

/** A verdict by word and shape, never by colour alone. */
export function VerdictMark({ verdict }: { verdict: Verdict }) {
  return (
    <span class={`verdict ${verdict}`}>
      <svg viewBox="0 0 18 18" width="16" height="16" aria-hidden="true">
        {verdictShapes[verdict]}
      </svg>
      {verdict}
    </span>
  )
}

/**
 * A plain table with a caption; numbers are right-aligned by the class `number`, and so are the
 * headings of the columns counted from 0 in `numbers`.
 */
export function Table(props: {
  caption: string
  head: Child[]
  numbers?: readonly number[]
  children: Child
}) {
  return (
    <div class="table">
      <table>
        <caption>{props.caption}</caption>
        <thead>
          <tr>
            {props.head.map((cell, column) => (
              <th scope="col" class={props.numbers?.includes(column) === true ? 'number' : ''}>
                {cell}
              </th>
            ))}
          </tr>
        </thead>
        <tbody>{props.children}</tbody>
      </table>
    </div>
  )
}
