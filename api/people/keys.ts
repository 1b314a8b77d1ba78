// Checks what a device's key signed, and names the key in a form that people can compare.
import { createHash, createPublicKey, verify } from 'node:crypto'
import type { KeyObject } from 'node:crypto'
import { promisify } from 'node:util'
import { fingerprint } from '#wire/api-enrol.ts'
import { signedEntryText, Signature } from '#wire/sign.ts'

/** Length of a raw P-256 key: 0x04 and two coordinates. */
const rawBytes = 65
const cacheLimit = 1000
const cache = new Map<string, KeyObject>()

/** Reads a raw key written in base64url; null when it is no point of the curve. */
export function readPublicKey(text: string): Buffer | null {
  const raw = Buffer.from(text, 'base64url')
  if (raw.length !== rawBytes || raw[0] !== 0x04 || raw.toString('base64url') !== text) return null
  try {
    keyOf(raw)
    return raw
  } catch {
    return null
  }
}

/** Did the owner of the raw key `publicKey` sign `text`? About 0.2 ms, off the main thread. */
export async function isSigned(
  publicKey: Buffer,
  text: string,
  signature: string,
): Promise<boolean> {
  if (!Signature.safeParse(signature).success) return false
  const bytes = Buffer.from(signature, 'base64url')
  const key = { key: keyOf(publicKey), dsaEncoding: 'ieee-p1363' } as const
  return verifyAside('sha256', Buffer.from(text, 'utf8'), key, bytes)
}
const verifyAside = promisify(verify)

/** Is this value an entry that carries this key's signature over all else in it? */
export async function isSignedEntry(publicKey: Buffer, value: unknown): Promise<boolean> {
  if (typeof value !== 'object' || value === null || !('signature' in value)) return false
  if (typeof value.signature !== 'string') return false
  let text: string
  try {
    text = signedEntryText({ ...value })
  } catch {
    // No canonical form, so nothing that could have been signed.
    return false
  }
  return isSigned(publicKey, text, value.signature)
}

/** The key's fingerprint: twenty characters in groups of four. */
export function fingerprintOf(publicKey: Buffer): string {
  return fingerprint(createHash('sha256').update(publicKey).digest())
}

function keyOf(raw: Buffer): KeyObject {
  const name = raw.toString('base64url')
  const known = cache.get(name)
  if (known !== undefined) return known
  const x = raw.subarray(1, 33).toString('base64url')
  const y = raw.subarray(33).toString('base64url')
  const key = createPublicKey({ key: { kty: 'EC', crv: 'P-256', x, y }, format: 'jwk' })
  if (cache.size >= cacheLimit) cache.clear()
  cache.set(name, key)
  return key
}
