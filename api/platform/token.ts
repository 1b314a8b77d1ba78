// Makes the secret tokens of devices, and the hash that is kept in their place.
import { createHash, randomBytes } from 'node:crypto'

/** A token: visible ASCII without spaces, long enough that it cannot be guessed. */
const tokenPattern = /^[!-~]{20,200}$/
const randomByteCount = 32

/** A new token of 256 random bits, 43 characters that need no quoting anywhere. */
export function newToken(): string {
  return randomBytes(randomByteCount).toString('base64url')
}

/** SHA-256 of a token: what is stored, so that a stolen table opens nothing. */
export function hashToken(token: string): Buffer {
  return createHash('sha256').update(token, 'utf8').digest()
}

/** The token of an `Authorization: Bearer …` header (RFC 6750 §2.1), or null for anything else. */
export function bearerToken(header: string | undefined): string | null {
  const [scheme = '', token = '', ...rest] = (header ?? '').trim().split(/ +/)
  if (scheme.toLowerCase() !== 'bearer' || rest.length > 0) return null
  return tokenPattern.test(token) ? token : null
}
