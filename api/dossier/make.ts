// Makes a dossier: its content, the PDF that names it, and the seal that binds them together.
import { createHash } from 'node:crypto'
import type { Database } from '../../db/connect.ts'
import { canonicalBytes } from '../journal/canonical.ts'
import { makeCheckpoint } from '../journal/checkpoints.ts'
import type { Signer } from '../journal/checkpoint-keys.ts'
import type { DossierContent, DossierSubject } from './dossier-shape.ts'
import { SEAL_LINE } from './dossier-shape.ts'
import { proveEntries, readDossierEntries } from './entries.ts'
import { readDossierFacts } from './facts.ts'
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

/**
 * Signs the journal as it is now and makes the dossier of `subject` from it. Refuses with
 * `not_found`, `dossier_too_large`, `journal_empty`, or `journal_disagrees`.
 */
export async function makeDossier(
  db: Database,
  signer: Signer,
  subject: DossierSubject,
  now: Date,
): Promise<MadeDossier> {
  const checkpoint = await makeCheckpoint(db, signer, now)
  const scope = await readScope(db, subject)
  const entries = await readDossierEntries(db, scope, checkpoint.size)
  const facts = await readDossierFacts(db, scope, entries, now)
  const content: DossierContent = {
    format: 'canemark dossier 1',
    subject: { ...subject, label: scope.label },
    nursery: {
      name: facts.nursery?.name ?? 'Nursery not on record',
      country: facts.nursery?.country ?? '',
      operatorNumber: facts.nursery?.operator_number ?? '',
      timeZone: facts.zone,
    },
    madeAt: now.toISOString(),
    statement,
    rules: answerRules(facts),
    tables: await dossierTables(db, facts),
    names: namesIn(facts.entries, facts.name),
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
