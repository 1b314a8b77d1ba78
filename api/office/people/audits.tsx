// What is open to auditors: the links, a new one, and ending one.
import type { Context } from 'hono'
import { nurseryTimeZone } from '../../nursery/read.ts'
import { AUDIT_LINK_DAYS, endAuditLink, listAuditLinks } from '../../people/audit-links.ts'
import type { AuditLinkLine } from '../../people/audit-links.ts'
import type { Env } from '../../platform/services.ts'
import { show } from '../form-page.tsx'
import { Page, Table } from '../layout.tsx'
import { pathId } from '../path-id.ts'
import { shownTime } from '../times.ts'
import { PeopleMenu } from './menu.tsx'

/** Shows all links. */
export async function showAudits(c: Context<Env>) {
  const { db, clock } = c.get('services')
  const [links, zone] = await Promise.all([listAuditLinks(db), nurseryTimeZone(db)])
  return show(
    c,
    <Page
      c={c}
      title="Auditors"
      lead={`A link opens named lots, blocks and vines, for ${AUDIT_LINK_DAYS} days at the most.`}
      actions={
        <a class="button main" href="/people/audits/new">
          Open the record
        </a>
      }
    >
      <PeopleMenu at="/people/audits" />
      {links.length === 0 ? (
        <p class="note">Nothing was ever opened.</p>
      ) : (
        <Table
          caption={`${links.length} links, the newest first`}
          head={['For', 'Things', 'Made', 'Runs out', 'Last opened', 'State']}
          numbers={[1]}
        >
          {links.map((link) => (
            <Link link={link} zone={zone} now={clock.now()} />
          ))}
        </Table>
      )}
    </Page>,
  )
}

function Link({ link, zone, now }: { link: AuditLinkLine; zone: string; now: Date }) {
  const isOpen = link.ended_at === null && link.expires_at > now
  return (
    <tr>
      <td>{link.auditor_name}</td>
      <td class="number">{link.things}</td>
      <td>{shownTime(link.made_at, zone)}</td>
      <td>{shownTime(link.expires_at, zone)}</td>
      <td>{link.last_opened_at === null ? 'never' : shownTime(link.last_opened_at, zone)}</td>
      <td>
        {isOpen ? (
          <form method="post" action={`/people/audits/${link.link_id}/end`}>
            <button aria-label={`End the link for ${link.auditor_name}`}>End it</button>
          </form>
        ) : link.ended_at === null ? (
          'has run out'
        ) : (
          'ended'
        )}
      </td>
    </tr>
  )
}

/** Ends a link and the sessions it opened. */
export async function endAudit(c: Context<Env>) {
  const { db, clock } = c.get('services')
  await endAuditLink(db, pathId(c, 'linkId', 'link'), clock.now())
  return c.redirect('/people/audits', 303)
}
