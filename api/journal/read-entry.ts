// Reads one received value as an entry, or says what is wrong with it and how to mend it.
import { ENTRY_BYTE_LIMIT, ENTRY_DEPTH_LIMIT } from '#wire/api-entries.ts'
import type { SetAsideCode } from '#wire/api-entries.ts'
import type { Entry } from '#wire/entry.ts'
import { Envelope, entryKinds, entrySchema, isEntryKind } from '#wire/entry.ts'
import type { z } from 'zod'
import { canonicalBytes, leafHash } from './canonical.ts'

/** Why a value is set aside; the list is closed and shared with the devices. */
export type ProblemCode = z.infer<typeof SetAsideCode>

export type Problem = { code: ProblemCode; detail: string; path: string | null }

/** An entry as read, with the bytes that are stored and hashed. */
export type ReadEntry = { entry: Entry; canonical: Buffer; leafHash: Buffer }

/** Reads `value` as an entry of `deviceId`; never throws. */
export function readEntry(value: unknown, deviceId: string): ReadEntry | Problem {
  if (isDeeperThan(value, ENTRY_DEPTH_LIMIT)) return tooDeep()
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

/** The problem of an entry that nests too deep; such a text is never parsed. */
export function tooDeep(): Problem {
  const detail = `arrays and objects nest deeper than ${ENTRY_DEPTH_LIMIT} levels: no entry does`
  return problem('too_deep', detail)
}

/** Level by level, not by recursion, so that no value can exhaust the stack. */
function isDeeperThan(value: unknown, limit: number): boolean {
  let containers = [value].filter(isContainer)
  for (let depth = 1; depth <= limit && containers.length > 0; depth += 1) {
    containers = containers.flatMap((container) => Object.values(container).filter(isContainer))
  }
  return containers.length > 0
}

const isContainer = (value: unknown): value is object => typeof value === 'object' && value !== null

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
