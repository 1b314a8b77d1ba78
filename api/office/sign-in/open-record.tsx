// An auditor's link: it is shown first and opened by a button, so that no preview opens it.
import type { Context } from 'hono'
import { openAuditLink, readAuditLink } from '../../people/audit-links.ts'
import { nurseryTimeZone, readNursery } from '../../nursery/read.ts'
import type { Env } from '../../platform/services.ts'
import { show } from '../form-page.tsx'
import { Page } from '../layout.tsx'
import { shownTime } from '../times.ts'
import { giveCookie } from './session-cookie.ts'

/** Shows for whom the link is, and until when. */
export async function showRecordLink(c: Context<Env>) {
  const { db, clock } = c.get('services')
  const link = await readAuditLink(db, c.req.param('token') ?? '', clock.now())
  const [nursery, zone] = await Promise.all([readNursery(db), nurseryTimeZone(db)])
  const lead = `Opened for ${link.auditorName} until ${shownTime(link.expiresAt, zone)} (${zone}).`
  return show(
    c,
    <Page c={c} title={`The record of ${nursery?.name ?? 'the nursery'}`} lead={lead}>
      <p>
        You see the lots, blocks and vines that the nursery chose, as they stand in its records, and
        can change nothing. It is evidence, not a certificate.
      </p>
      <form method="post">
        <button class="main">Open the record</button>
      </form>
    </Page>,
  )
}

/** Begins the auditor's session. */
export async function openRecord(c: Context<Env>) {
  const { db, clock } = c.get('services')
  const browser = c.req.header('user-agent') ?? ''
  const given = { browser, now: clock.now() }
  giveCookie(c, await openAuditLink(db, c.req.param('token') ?? '', given))
  return c.redirect('/opened', 303)
}
