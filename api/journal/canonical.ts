// The exact bytes of an entry and the hash of its leaf in the journal's tree.
import { createHash } from 'node:crypto'
import canonicalize from 'canonicalize'

const leafPrefix = Uint8Array.of(0x00)

/**
 * RFC 8785 canonical JSON of a parsed JSON value, as UTF-8 bytes.
 * Throws when the value has no canonical form (a lone surrogate, a number that is not finite).
 */
export function canonicalBytes(value: unknown): Buffer {
  const text = canonicalize(value)
  if (text === undefined) throw new Error('there is nothing here to write down')
  return Buffer.from(text, 'utf8')
}

/** SHA-256 of 0x00 and the entry's bytes: its leaf by RFC 6962 §2.1. */
export function leafHash(bytes: Uint8Array): Buffer {
  return createHash('sha256').update(leafPrefix).update(bytes).digest()
}
