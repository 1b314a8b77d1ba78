// Reads one received value as an entry, or says what is wrong with it and how to mend it.
import type { Entry } from '#wire/entry.ts'
import { Envelope, entryKinds, entrySchema, isEntryKind } from '#wire/entry.ts'
import type { z } from 'zod'
import { canonicalBytes, leafHash } from './canonical.ts'

/** Why a value is set aside; a closed list, in the order in which it is checked. */
export type ProblemCode =
  | 'not_canonical'
  | 'too_large'
  | 'bad_envelope'
  | 'other_device'
  | 'unknown_kind'
  | 'unknown_version'
  | 'bad_body'
  | 'id_taken'

export type Problem = { code: ProblemCode; detail: string; path: string | null }

/** An entry as read, with the bytes that are stored and hashed. */
export type ReadEntry = { entry: Entry; canonical: Buffer; leafHash: Buffer }

/** Largest entry, in canonical bytes. */
export const ENTRY_BYTE_LIMIT = 256 * 1024

/** Reads `value` as an entry of `deviceId`; never throws. */
export function readEntry(value: unknown, deviceId: string): ReadEntry | Problem {
  let canonical: Buffer
  try {
    canonical = canonicalBytes(value)
  } catch (error) {
    return problem('not_canonical', `${messageOf(error)}: send plain JSON in valid Unicode`)
  }
  if (canonical.length > ENTRY_BYTE_LIMIT) {
    const detail = `${canonical.length} bytes; one entry may have ${ENTRY_BYTE_LIMIT}: part it`
    return problem('too_large', detail)
  }
  const envelope = Envelope.safeParse(value)
  if (!envelope.success) return fromZod('bad_envelope', envelope.error)
  const { kind, v, device } = envelope.data
  if (device !== deviceId) {
    return problem('other_device', 'a device may only write its own entries', 'device')
  }
  if (!isEntryKind(kind)) {
    return problem('unknown_kind', `"${kind}" is no kind of entry that this server knows`, 'kind')
  }
  if (v !== entryKinds[kind].v) {
    const ours = entryKinds[kind].v
    const detail = `version ${v} of ${kind} is not known here; this server reads version ${ours}`
    return problem('unknown_version', detail, 'v')
  }
  const entry = entrySchema(kind).safeParse(value)
  if (!entry.success) return fromZod('bad_body', entry.error)
  return { entry: entry.data as Entry, canonical, leafHash: leafHash(canonical) }
}

/** Reads an entry back from the journal's own bytes; these were read before, so it must succeed. */
export function readStored(canonical: Buffer): Entry {
  const value: unknown = JSON.parse(canonical.toString('utf8'))
  const envelope = Envelope.parse(value)
  if (!isEntryKind(envelope.kind)) throw new Error(`the journal holds a strange ${envelope.kind}`)
  return entrySchema(envelope.kind).parse(value) as Entry
}

function problem(code: ProblemCode, detail: string, path: string | null = null): Problem {
  return { code, detail, path }
}

function fromZod(code: ProblemCode, error: z.ZodError): Problem {
  const issue = error.issues[0]
  const path = issue?.path.join('.') ?? ''
  const more = error.issues.length > 1 ? ` (and ${error.issues.length - 1} more)` : ''
  return { code, detail: `${issue?.message ?? 'unreadable'}${more}`, path: path || null }
}

const messageOf = (error: unknown) => (error instanceof Error ? error.message : String(error))
