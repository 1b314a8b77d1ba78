// Keeps the dossiers that were handed out lately, so that their three forms stay the same files.
import { gunzip, gzip } from 'node:zlib'
import { promisify } from 'node:util'
import { sql } from 'kysely'
import type { Database } from '../../db/connect.ts'
import { newId } from '../platform/clock.ts'
import { refuse } from '../platform/errors.ts'
import type { DossierSubject } from './dossier-shape.ts'
import type { MadeDossier } from './make.ts'

/** Older ones are with whoever got them. */
const KEPT_LIMIT = 100
const pack = promisify(gzip)
const unpack = promisify(gunzip)

/** Who had it made: a person who works here, or an auditor by a link. */
export type MadeBy = { personId: string } | { auditLinkId: string }

/** A dossier as listed. */
export type DossierLine = {
  dossierId: string
  madeAt: Date
  size: number
  entries: number
  contentSha256: string
}

/** Keeps it; returns its id. */
export async function keepDossier(
  db: Database,
  made: MadeDossier,
  by: MadeBy,
  now: Date,
): Promise<string> {
  const { kind, id, position } = made.content.subject
  const dossierId = newId()
  await db
    .insertInto('dossier')
    .values({
      dossier_id: dossierId,
      subject_kind: kind,
      subject_id: id,
      position,
      made_at: now,
      person_id: 'personId' in by ? by.personId : null,
      audit_link_id: 'auditLinkId' in by ? by.auditLinkId : null,
      size: made.size,
      entries: made.entries,
      content_sha256: made.contentSha256,
      packed_json: await pack(made.json),
      pdf: made.pdf,
    })
    .execute()
  await sql`delete from dossier where dossier_id not in (
    select dossier_id from dossier order by made_at desc, dossier_id desc limit ${KEPT_LIMIT}
  )`.execute(db)
  return dossierId
}

/** Those of one subject that are kept, the newest first. */
export async function listDossiers(db: Database, subject: DossierSubject): Promise<DossierLine[]> {
  const rows = await db
    .selectFrom('dossier')
    .select(['dossier_id', 'made_at', 'size', 'entries', 'content_sha256'])
    .where('subject_kind', '=', subject.kind)
    .where('subject_id', '=', subject.id)
    .where('position', '=', subject.position)
    .orderBy('made_at', 'desc')
    .orderBy('dossier_id', 'desc')
    .limit(20)
    .execute()
  return rows.map((row) => ({
    dossierId: row.dossier_id,
    madeAt: new Date(row.made_at),
    size: row.size,
    entries: row.entries,
    contentSha256: row.content_sha256.toString('hex'),
  }))
}

/**
 * The files of one; it must be of this subject, so that whoever may see the subject sees no other.
 * Refuses with `not_found`.
 */
export async function readDossier(
  db: Database,
  subject: DossierSubject,
  dossierId: string,
): Promise<{ json: Buffer; pdf: Buffer }> {
  const row = await db
    .selectFrom('dossier')
    .select(['packed_json', 'pdf'])
    .where('dossier_id', '=', dossierId)
    .where('subject_kind', '=', subject.kind)
    .where('subject_id', '=', subject.id)
    .where('position', '=', subject.position)
    .executeTakeFirst()
  if (row === undefined) {
    return refuse('not_found', 'this dossier is not kept here any more: make it anew', {
      status: 404,
    })
  }
  return { json: await unpack(row.packed_json), pdf: row.pdf }
}
