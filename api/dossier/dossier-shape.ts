// What a dossier holds: plain text and numbers, so that any program can read it in twenty years.

import type { RecallQuestion } from '../trace/recall.ts'

/** A thing that a dossier is about; `position` is that of a vine, else 0. */
export type ThingSubject = {
  kind: 'lot' | 'vine' | 'row' | 'block'
  id: string
  position: number
}

/** A recall that a dossier is about; `id` is worked out of its question. */
export type RecallSubject = { kind: 'recall'; id: string; position: 0; question: RecallQuestion }

/** What a dossier is about. */
export type DossierSubject = ThingSubject | RecallSubject

/** A rule is answered by what is on record; nobody is certified by it. */
export type RuleResult = 'holds' | 'does not hold' | 'not known'

/** One rule, its answer, why, and the published text that asks for it. */
export type RuleAnswer = {
  rule: string
  result: RuleResult
  because: string
  citation: string
  /** Was the citation read in its source, or is it from memory or our own? */
  citationKnown: 'read' | 'in a transposition' | 'from memory' | 'not found' | 'our own'
  /** Indexes of the entries that the answer rests on, as far as they are few. */
  entries: number[]
}

/** A table; each row names the entries that it was worked out from. */
export type DossierTable = {
  title: string
  note: string
  columns: string[]
  rows: { cells: string[]; entries: number[] }[]
}

/** An entry's exact bytes as text, and its proof as places in `hashes`. */
export type ProvenEntry = { index: number; recordedAt: string; entry: string; path: number[] }

/**
 * A stamp of time by an outside authority (RFC 3161) over the note of a checkpoint of `size`, and
 * the hashes in base64 that show that this dossier's checkpoint extends it (RFC 6962 §2.1.2).
 */
export type ProvenStamp = { size: number; note: string; token: string; consistency: string[] }

/** Everything that proves the entries. */
export type DossierProof = {
  /** Public keys, the oldest first, each with the note by which the one before named it. */
  keys: { key: string; succession: string | null }[]
  checkpoint: string
  /** Hashes of subtrees in base64, each once. */
  hashes: string[]
  entries: ProvenEntry[]
  /** Left out where no checkpoint was ever stamped. */
  timestamps?: ProvenStamp[]
}

export type DossierContent = {
  format: 'canemark dossier 1'
  subject: DossierSubject & { label: string }
  nursery: { name: string; country: string; operatorNumber: string; timeZone: string }
  madeAt: string
  /** What this file is, and what it is not. */
  statement: string
  rules: RuleAnswer[]
  tables: DossierTable[]
  /** Names behind the ids that entries carry. */
  names: Record<string, string>
  proof: DossierProof
}

/** The first lines of a seal: the note, signed by the journal's key, that binds the forms. */
export const SEAL_LINE = 'canemark dossier 1'

/** Most entries in one dossier. */
export const DOSSIER_ENTRY_LIMIT = 30_000
