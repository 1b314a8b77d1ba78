// Links that open named lots, blocks, vines and recalls to an auditor for a time, nothing besides.
import { sql } from 'kysely'
import type { Database } from '../../db/connect.ts'
import { Id, POSITION_LIMIT } from '#wire/basics.ts'
import { newId } from '../platform/clock.ts'
import { refuse } from '../platform/errors.ts'
import { hashToken, newToken } from '../platform/token.ts'
import { questionOfQuery, recallId, recallLabel, recallQuery } from '../trace/recall-question.ts'
import type { RecallQuestion } from '../trace/recall.ts'
import { beginSession } from './sessions.ts'

/** Longest time a link may be open, in days. */
export const AUDIT_LINK_DAYS = 90
/** Most things that one link may open. */
export const AUDIT_SCOPE_LIMIT = 500

/** A thing that a link opens: a block with its rows and vines, a recall as its dossiers alone. */
export type OpenedThing =
  | { kind: 'lot'; lotId: string }
  | { kind: 'block'; blockId: string }
  | { kind: 'vine'; rowId: string; position: number }
  | { kind: 'recall'; question: RecallQuestion }

/** A thing that somebody asks to see: what a link can open, or a row of a block. */
export type AskedThing = OpenedThing | { kind: 'row'; rowId: string }

/** Makes a link; returns its token, which is kept nowhere. */
export async function makeAuditLink(
  db: Database,
  given: { auditorName: string; expiresAt: Date; scope: readonly OpenedThing[] },
  by: { personId: string; now: Date },
): Promise<{ linkId: string; token: string }> {
  const linkId = newId()
  const token = newToken()
  await db.transaction().execute(async (trx) => {
    await trx
      .insertInto('audit_link')
      .values({
        link_id: linkId,
        token_hash: hashToken(token),
        auditor_name: given.auditorName,
        made_by: by.personId,
        made_at: by.now,
        expires_at: given.expiresAt,
      })
      .execute()
    await trx
      .insertInto('audit_scope')
      .values(
        given.scope.map((thing) => ({
          link_id: linkId,
          ...scopeRow(thing),
          question: thing.kind === 'recall' ? recallQuery(thing.question) : null,
        })),
      )
      .onConflict((conflict) => conflict.doNothing())
      .execute()
  })
  return { linkId, token }
}

/** A link as listed. */
export type AuditLinkLine = {
  link_id: string
  auditor_name: string
  made_at: Date
  expires_at: Date
  last_opened_at: Date | null
  ended_at: Date | null
  things: number
}

/** All links, the newest first. */
export async function listAuditLinks(db: Database): Promise<AuditLinkLine[]> {
  const rows = await sql<AuditLinkLine>`
    select link_id, auditor_name, made_at, expires_at, last_opened_at, ended_at,
      (select count(*) from audit_scope s where s.link_id = l.link_id) as things
    from audit_link l order by made_at desc, link_id`.execute(db)
  return rows.rows
}

/** Ends a link at once, and every session that it opened. */
export async function endAuditLink(db: Database, linkId: string, now: Date): Promise<void> {
  await db.transaction().execute(async (trx) => {
    const ended = await trx
      .updateTable('audit_link')
      .set({ ended_at: now })
      .where('link_id', '=', linkId)
      .where('ended_at', 'is', null)
      .executeTakeFirst()
    if (ended.numUpdatedRows === 0n) refuse('link_void', 'this link had ended before')
    await trx.deleteFrom('session').where('audit_link_id', '=', linkId).execute()
  })
}

/** An open link. */
export type OpenLink = { linkId: string; auditorName: string; expiresAt: Date }

/** Reads a link; refuses with `link_void` one that is unknown, ended or has run out. */
export async function readAuditLink(db: Database, token: string, now: Date): Promise<OpenLink> {
  const row = await db
    .selectFrom('audit_link')
    .select(['link_id', 'auditor_name', 'expires_at'])
    .where('token_hash', '=', hashToken(token))
    .where('expires_at', '>', now)
    .where('ended_at', 'is', null)
    .executeTakeFirst()
  if (row === undefined) {
    const detail = 'this link opens nothing: it has run out or was ended; ask the nursery'
    return refuse('link_void', detail, { status: 404 })
  }
  return { linkId: row.link_id, auditorName: row.auditor_name, expiresAt: row.expires_at }
}

/** Begins an auditor's session by a link; returns the session's token. */
export async function openAuditLink(
  db: Database,
  token: string,
  given: { browser: string; now: Date },
): Promise<string> {
  const { linkId, expiresAt } = await readAuditLink(db, token, given.now)
  await db
    .updateTable('audit_link')
    .set({ last_opened_at: given.now })
    .where('link_id', '=', linkId)
    .execute()
  return beginSession(db, { auditLinkId: linkId, expiresAt }, given.browser, given.now)
}

/** What a link opens, with names to show. */
export type OpenedLine = {
  kind: string
  id: string
  position: number
  name: string
  /** The query of a recall's address. */
  question: string | null
}

/** Lots first, then blocks, vines and recalls, each by name. */
export async function listOpened(db: Database, linkId: string): Promise<OpenedLine[]> {
  const rows = await sql<OpenedLine>`
    select s.kind, s.id, s.position, s.question, coalesce(case s.kind
      when 'lot' then (select reference from lot_first where lot_id = s.id)
      when 'block' then (select name from block_now where block_id = s.id)
      when 'recall' then s.question
      else (select b.name || ', row ' || r.label || ', position ' || s.position
        from block_row_now r left join block_now b on b.block_id = r.block_id
        where r.row_id = s.id) end, 'not in the records any more') as name
    from audit_scope s where s.link_id = ${linkId}
    order by case s.kind when 'lot' then 1 when 'block' then 2 when 'vine' then 3 else 4 end,
      name, s.position`.execute(db)
  return Promise.all(rows.rows.map(async (line) => ({ ...line, name: await recallName(db, line) })))
}

/** A recall is stored by its question, and named by what stands there now. */
async function recallName(db: Database, { name, question }: OpenedLine): Promise<string> {
  if (question === null) return name
  const asked = questionOfQuery(question)
  return asked === null ? name : recallLabel(db, asked)
}

/** Does this link open this thing, itself or with its block? What is no id is not open. */
export async function isOpened(db: Database, linkId: string, thing: AskedThing): Promise<boolean> {
  const { kind, id, position } = scopeRow(thing)
  if (!Id.safeParse(id).success || !Number.isInteger(position) || position > POSITION_LIMIT) {
    return false
  }
  const isInRow = kind === 'row' || kind === 'vine'
  const found = await sql`
    select 1 from audit_scope s where s.link_id = ${linkId} and (
      (s.kind = ${kind} and s.id = ${id} and s.position = ${position})
      or (${isInRow} and s.kind = 'block' and s.id in (
        select r.block_id from block_row_now r where r.row_id = ${id}))
    ) limit 1`.execute(db)
  return found.rows.length > 0
}

function scopeRow(thing: AskedThing): { kind: string; id: string; position: number } {
  if (thing.kind === 'lot') return { kind: 'lot', id: thing.lotId, position: 0 }
  if (thing.kind === 'block') return { kind: 'block', id: thing.blockId, position: 0 }
  if (thing.kind === 'row') return { kind: 'row', id: thing.rowId, position: 0 }
  if (thing.kind === 'recall') return { kind: 'recall', id: recallId(thing.question), position: 0 }
  return { kind: 'vine', id: thing.rowId, position: thing.position }
}
