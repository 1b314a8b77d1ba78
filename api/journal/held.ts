// Evidence kept elsewhere that a journal is held against: checkpoints, exports and dossiers.
import { createReadStream } from 'node:fs'
import { open, readFile } from 'node:fs/promises'
import { z } from 'zod'
import { ENTRY_BYTE_LIMIT } from '#wire/api-entries.ts'
import { refuse } from '../platform/errors.ts'
import { leafHash } from './canonical.ts'
import { readCheckpoint } from './checkpoint.ts'
import { readJournalLine } from './line.ts'
import { openNote, readKeyText } from './note.ts'
import type { NoteKey, OpenNote } from './note.ts'
import { textLines } from './text-lines.ts'

/** An entry as the evidence has it at its place. */
export type HeldEntry = { index: number; canonical: Buffer }

/** One piece of evidence; `name` is that of its file. */
export type Held = {
  name: string
  /** A signed root and how many entries it covers. */
  checkpoint: { size: number; root: Buffer; note: OpenNote } | null
  /** Entries in the order of their indexes, read while they are asked for. */
  entries: AsyncIterable<HeldEntry> | null
}

/** What the command line brings: evidence, and keys that are trusted besides those on record. */
export type Evidence = { held: Held[]; keys: NoteKey[] }

const DOSSIER_BYTE_LIMIT = 200 * 1024 * 1024
const LINE_BYTE_LIMIT = ENTRY_BYTE_LIMIT + 1000

/**
 * Reads `--key TEXT` and names of files: a checkpoint, an exported journal, or a dossier as JSON.
 * Refuses with `not_evidence` what is none of these, naming the file.
 */
export async function readEvidence(words: readonly string[]): Promise<Evidence> {
  const evidence: Evidence = { held: [], keys: [] }
  for (let nr = 0; nr < words.length; nr += 1) {
    const word = words[nr] ?? ''
    try {
      if (word !== '--key') evidence.held.push(await readHeld(word))
      else evidence.keys.push(readKeyText(words[(nr += 1)] ?? ''))
    } catch (error) {
      const words = error instanceof Error ? error.message : String(error)
      refuse('not_evidence', `${word}: ${words}`)
    }
  }
  return evidence
}

async function readHeld(name: string): Promise<Held> {
  const start = await startOf(name)
  if (/^\{"(index|end)":/.test(start)) return heldJournal(name)
  if (start.startsWith('{"dossier":')) return heldDossier(name)
  if (start.startsWith('{')) throw new Error('it is neither a checkpoint, a journal nor a dossier')
  return heldCheckpoint(name, tidyNote(await readFile(name, 'utf8')))
}

/** Typed off paper, mailed or read from its symbol, a note may have got other line ends. */
export function tidyNote(text: string): string {
  return `${text.replaceAll('\r\n', '\n').trimEnd()}\n`
}

async function startOf(name: string): Promise<string> {
  const file = await open(name, 'r')
  try {
    const { buffer, bytesRead } = await file.read(Buffer.alloc(64), 0, 64, 0)
    return buffer.subarray(0, bytesRead).toString('utf8')
  } finally {
    await file.close()
  }
}

/** A checkpoint out of its note; throws when it is none. */
export function heldCheckpoint(name: string, text: string): Held {
  const note = openNote(text)
  const { size, root } = readCheckpoint(note.text)
  return { name, checkpoint: { size, root, note }, entries: null }
}

function heldJournal(name: string): Held {
  async function* entries(): AsyncGenerator<HeldEntry, void, void> {
    const damaged = (what: string) => refuse('not_evidence', `${name}: ${what}`)
    for await (const line of textLines(createReadStream(name), LINE_BYTE_LIMIT, damaged)) {
      const read = readJournalLine(line)
      if (read.line === 'entry') yield { index: read.row.index, canonical: read.row.canonical }
    }
  }
  return { name, checkpoint: null, entries: entries() }
}

/** As much of a dossier as is read here; the rest of it is checked by its own page. */
const DossierEvidence = z.object({
  dossier: z.object({
    proof: z.object({
      checkpoint: z.string(),
      entries: z.array(z.object({ index: z.number().int().min(0), entry: z.string() })),
    }),
  }),
})

async function heldDossier(name: string): Promise<Held> {
  const bytes = await readFile(name)
  if (bytes.length > DOSSIER_BYTE_LIMIT) throw new Error('the dossier is too large to be read')
  const value: unknown = JSON.parse(bytes.toString('utf8'))
  const { checkpoint, entries } = DossierEvidence.parse(value).dossier.proof
  const ordered = entries
    .map(({ index, entry }) => ({ index, canonical: Buffer.from(entry, 'utf8') }))
    .sort((one, other) => one.index - other.index)
  async function* inOrder(): AsyncGenerator<HeldEntry, void, void> {
    yield* ordered
  }
  return { ...heldCheckpoint(name, checkpoint), entries: inOrder() }
}

/** How an entry is named out of its bytes, for somebody who looks for it. */
export function heldEntryName(canonical: Buffer): string {
  const leaf = leafHash(canonical).toString('hex').slice(0, 16)
  try {
    const { kind, id } = z
      .object({ kind: z.string(), id: z.string() })
      .parse(JSON.parse(canonical.toString('utf8')))
    return `${kind}, ${id}, leaf ${leaf}…`
  } catch {
    return `leaf ${leaf}…`
  }
}
