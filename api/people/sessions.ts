// Sessions: a random token in the browser's cookie, its hash here, and when it stops counting.
import { sql } from 'kysely'
import type { Transaction } from 'kysely'
import type { Database } from '../../db/connect.ts'
import type { Tables } from '../../db/tables.ts'
import { newId } from '../platform/clock.ts'
import type { CurrentPerson, RoleName } from '../platform/services.ts'
import { hashToken, newToken } from '../platform/token.ts'

const minuteMs = 60_000
const hourMs = 60 * minuteMs

/** A session that nobody used for so long has ended. */
export const SESSION_IDLE_MS = 12 * hourMs
/** A session ends so long after it began, whatever happens. */
export const SESSION_MOST_MS = 7 * 24 * hourMs
/** For so long after the password was given, changes that ask for it go through. */
export const PROOF_MS = 10 * minuteMs
/** How exactly the last use is kept; a write for each request would be waste. */
const USE_STEP_MS = minuteMs

/** Whose session it is: a person's, or that of an auditor's link. */
export type SessionOwner = { personId: string } | { auditLinkId: string; expiresAt: Date }

/**
 * Begins a session; returns the token for the cookie, which is kept nowhere else. `browser` is
 * what the browser calls itself, shown where own sessions are listed.
 */
export async function beginSession(
  db: Database | Transaction<Tables>,
  owner: SessionOwner,
  browser: string,
  now: Date,
): Promise<string> {
  const token = newToken()
  const latest = now.getTime() + SESSION_MOST_MS
  const isPerson = 'personId' in owner
  const expires = isPerson ? latest : Math.min(latest, owner.expiresAt.getTime())
  await db
    .insertInto('session')
    .values({
      session_id: newId(),
      token_hash: hashToken(token),
      person_id: isPerson ? owner.personId : null,
      audit_link_id: isPerson ? null : owner.auditLinkId,
      browser: shortBrowser(browser),
      began_at: now,
      last_used_at: now,
      expires_at: new Date(expires),
      proven_at: isPerson ? now : null,
    })
    .execute()
  return token
}

type Row = {
  session_id: string
  person_id: string
  name: string
  role: RoleName
  proven_at: Date | null
  last_used_at: Date
  audit_link_id: string | null
}

/**
 * Who holds this token now; null when the session ended, the person left or the link ran out. The
 * role is read anew each time. Notes that the session was used.
 */
export async function findSession(
  db: Database,
  token: string,
  now: Date,
): Promise<CurrentPerson | null> {
  const idle = new Date(now.getTime() - SESSION_IDLE_MS)
  const result = await sql<Row>`
    select s.session_id, s.proven_at, s.last_used_at, s.audit_link_id,
      coalesce(p.person_id, l.link_id) as person_id, coalesce(p.name, l.auditor_name) as name,
      coalesce(p.role, 'auditor') as role
    from session s
      left join person p on p.person_id = s.person_id
      left join sign_in i on i.person_id = s.person_id
      left join audit_link l on l.link_id = s.audit_link_id
    where s.token_hash = ${hashToken(token)} and s.expires_at > ${now} and s.last_used_at > ${idle}
      and (l.link_id is not null or i.person_id is not null)
      and p.ended_at is null and l.ended_at is null
      and (l.expires_at is null or l.expires_at > ${now})`.execute(db)
  const row = result.rows[0]
  if (row === undefined) return null
  if (now.getTime() - row.last_used_at.getTime() > USE_STEP_MS) await noteUse(db, row, now)
  return {
    personId: row.person_id,
    name: row.name,
    role: row.role,
    sessionId: row.session_id,
    provenAt: row.proven_at,
    ...(row.audit_link_id === null ? {} : { auditLinkId: row.audit_link_id }),
  }
}

async function noteUse(db: Database, row: Row, now: Date): Promise<void> {
  await db
    .updateTable('session')
    .set({ last_used_at: now })
    .where('session_id', '=', row.session_id)
    .execute()
}

/** Was the password given in this session within the last ten minutes? */
export function isProven(person: CurrentPerson, now: Date): boolean {
  const at = person.provenAt ?? null
  return at !== null && now.getTime() - at.getTime() <= PROOF_MS
}

/** Notes that the password was given once more. */
export async function markProven(db: Database, sessionId: string, now: Date): Promise<void> {
  await db
    .updateTable('session')
    .set({ proven_at: now })
    .where('session_id', '=', sessionId)
    .execute()
}

/** A session as its own person sees it. */
export type SessionLine = {
  session_id: string
  browser: string
  began_at: Date
  last_used_at: Date
  expires_at: Date
}

/** A person's sessions that still count, the last used first. */
export async function listSessions(
  db: Database,
  personId: string,
  now: Date,
): Promise<SessionLine[]> {
  return db
    .selectFrom('session')
    .select(['session_id', 'browser', 'began_at', 'last_used_at', 'expires_at'])
    .where('person_id', '=', personId)
    .where('expires_at', '>', now)
    .where('last_used_at', '>', new Date(now.getTime() - SESSION_IDLE_MS))
    .orderBy('last_used_at', 'desc')
    .execute()
}

/** Ends one session of this person or auditor; somebody else's stays, and false says so. */
export async function endSession(
  db: Database,
  ownerId: string,
  sessionId: string,
): Promise<boolean> {
  const result = await db
    .deleteFrom('session')
    .where('session_id', '=', sessionId)
    .where(({ or, eb }) => or([eb('person_id', '=', ownerId), eb('audit_link_id', '=', ownerId)]))
    .executeTakeFirst()
  return result.numDeletedRows > 0n
}

/** Ends all sessions of a person but one, if one is named. */
export async function endOtherSessions(
  db: Database | Transaction<Tables>,
  personId: string,
  keptSessionId: string | null,
): Promise<void> {
  let query = db.deleteFrom('session').where('person_id', '=', personId)
  if (keptSessionId !== null) query = query.where('session_id', '<>', keptSessionId)
  await query.execute()
}

/** Removes sessions that count no more; called when somebody signs in. */
export async function removeEndedSessions(db: Database, now: Date): Promise<void> {
  await db
    .deleteFrom('session')
    .where(({ or, eb }) =>
      or([
        eb('expires_at', '<=', now),
        eb('last_used_at', '<=', new Date(now.getTime() - SESSION_IDLE_MS)),
      ]),
    )
    .execute()
}

const browserLimit = 120

/** What a browser says of itself, without what does not print. */
function shortBrowser(text: string): string {
  return text.replace(/[^\x20-\x7e]/g, '?').slice(0, browserLimit) || 'unnamed'
}
