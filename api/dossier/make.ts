// Makes a dossier: its content, the PDF that names it, and the seal that binds them together.
import { createHash } from 'node:crypto'
import type { Database } from '../../db/connect.ts'
import { canonicalBytes } from '../journal/canonical.ts'
import { makeCheckpoint } from '../journal/checkpoints.ts'
import type { SignedCheckpoint } from '../journal/checkpoints.ts'
import type { Signer } from '../journal/checkpoint-keys.ts'
import { journalSize } from '../journal/read-journal.ts'
import { refuse } from '../platform/errors.ts'
import type { DossierContent, DossierSubject } from './dossier-shape.ts'
import { DOSSIER_ENTRY_LIMIT, SEAL_LINE } from './dossier-shape.ts'
import { proveEntries, readDossierEntries } from './entries.ts'
import { readDossierFacts } from './facts.ts'
import { readGround } from './ground.ts'
import { drawDossier } from './pdf.ts'
import { answerRules } from './rules.ts'
import { readScope } from './scope.ts'
import { dossierTables } from './tables.ts'

/** A dossier in its forms; the page is made of these two. */
export type MadeDossier = {
  content: DossierContent
  contentSha256: Buffer
  /** The file as JSON, byte for byte. */
  json: Buffer
  pdf: Buffer
  size: number
  entries: number
}

const statement =
  'This file shows what is on record and lets you check that the record was not changed since it ' +
  'was signed. It certifies nothing: certification is the work of the authority alone. What was ' +
  'recorded falsely at the time is false here too; an entry shows who recorded it, and when.'

/** How often a checkpoint is made anew when entries were recorded meanwhile. */
const MOMENT_TRIES = 5

/**
 * Signs the journal as it is now and makes the dossier of `subject` from it. Refuses with
 * `not_found`, `dossier_too_large`, `journal_empty`, `journal_busy` or `journal_disagrees`.
 */
export async function makeDossier(
  db: Database,
  signer: Signer,
  subject: DossierSubject,
  now: Date,
  entryLimit = DOSSIER_ENTRY_LIMIT,
): Promise<MadeDossier> {
  const { checkpoint, read } = await inOneMoment(db, signer, now, (trx, { size }) =>
    readAll(trx, subject, now, { size, limit: entryLimit }),
  )
  const { entries, ...told } = read
  const content: DossierContent = {
    format: 'canemark dossier 1',
    ...told,
    madeAt: now.toISOString(),
    statement,
    proof: await proveEntries(db, entries, checkpoint),
  }
  const bytes = canonicalBytes(content)
  const contentSha256 = createHash('sha256').update(bytes).digest()
  const pdf = await drawDossier(content, contentSha256)
  const pdfSha256 = createHash('sha256').update(pdf).digest('hex')
  const seal = signer.sign(sealText(signer.key.name, contentSha256.toString('hex'), pdfSha256))
  const json = Buffer.concat([
    Buffer.from('{"dossier":'),
    bytes,
    Buffer.from(`,"seal":${JSON.stringify(seal)}}\n`),
  ])
  return { content, contentSha256, json, pdf, size: checkpoint.size, entries: entries.length }
}

/** Everything but the proof. */
async function readAll(
  db: Database,
  subject: DossierSubject,
  now: Date,
  { size, limit }: { size: number; limit: number },
) {
  const scope = await readScope(db, subject)
  const ground = await readGround(db, scope, now)
  const carried = await readDossierEntries(db, scope, size, ground.entryIds, limit)
  const facts = await readDossierFacts(db, scope, carried, ground)
  const { nursery, zone, name } = facts
  return {
    subject: { ...subject, label: scope.label },
    nursery: {
      name: nursery?.name ?? 'Nursery not on record',
      country: nursery?.country ?? '',
      operatorNumber: nursery?.operator_number ?? '',
      timeZone: zone,
    },
    rules: answerRules(facts),
    tables: await dossierTables(db, facts),
    names: namesIn(carried.entries, name),
    entries: carried.entries,
  }
}

/**
 * Reads within one snapshot of the database whose journal is exactly the checkpoint's: nothing is
 * told that rests on an entry which came after it.
 */
async function inOneMoment<T>(
  db: Database,
  signer: Signer,
  now: Date,
  work: (trx: Database, checkpoint: SignedCheckpoint) => Promise<T>,
): Promise<{ checkpoint: SignedCheckpoint; read: T }> {
  for (let nr = 0; nr < MOMENT_TRIES; nr += 1) {
    const checkpoint = await makeCheckpoint(db, signer, now)
    const read = await db
      .transaction()
      .setIsolationLevel('repeatable read')
      .execute(async (trx) => {
        if ((await journalSize(trx)) !== checkpoint.size) return null
        return { value: await work(trx, checkpoint) }
      })
    if (read !== null) return { checkpoint, read: read.value }
  }
  const detail = 'entries are coming in faster than they can be signed: try again in a moment'
  return refuse('journal_busy', detail, { status: 503, retryAfterSeconds: 10 })
}

/** What the journal's key signs: the hashes of both forms. */
export function sealText(name: string, contentSha256: string, pdfSha256: string): string {
  return `${name}\n${SEAL_LINE}\ncontent sha256 ${contentSha256}\npdf sha256 ${pdfSha256}\n`
}

const idPattern = /[0-9a-f]{8}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{12}/g

function namesIn(
  entries: readonly { canonical: Buffer }[],
  name: (id: string) => string,
): Record<string, string> {
  const names: Record<string, string> = {}
  for (const { canonical } of entries) {
    for (const id of canonical.toString('utf8').match(idPattern) ?? []) {
      const known = name(id)
      if (known !== 'not registered here') names[id] = known
    }
  }
  return names
}
