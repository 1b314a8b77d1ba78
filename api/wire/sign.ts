// What a device's key signs, and how keys and signatures are written: ECDSA on P-256 with SHA-256.
import canonicalize from 'canonicalize'
import { z } from 'zod'

/**
 * A signature: r and s as 32 bytes each, one after the other (IEEE P1363, what WebCrypto gives),
 * in base64url without padding (RFC 4648 §5). The last character carries two bits.
 */
export const Signature = z
  .string()
  .regex(/^[A-Za-z0-9_-]{85}[AQgw]$/, 'a P-256 signature in base64url is needed here')

/**
 * A public key: the uncompressed point, 0x04 and the two coordinates (SEC 1 §2.3.3, what WebCrypto
 * exports as `raw`), in base64url without padding.
 */
export const PublicKey = z
  .string()
  .regex(/^B[A-Za-z0-9_-]{85}[AEIMQUYcgkosw048]$/, 'a raw P-256 key in base64url is needed here')

/** WebCrypto's name for the keys: the pair is made with `extractable` false. */
export const keyAlgorithm = { name: 'ECDSA', namedCurve: 'P-256' } as const
/** WebCrypto's name for the signatures. */
export const signAlgorithm = { name: 'ECDSA', hash: 'SHA-256' } as const

/** The header in which a device signs a request: `DEVICE NUMBER SIGNATURE`. */
export const SIGNATURE_HEADER = 'canemark-signature'

/**
 * The text that an entry's signature is over: a first line that no other text of ours begins with,
 * then the canonical JSON (RFC 8785) of the entry without its signature.
 * Throws when the value has no canonical form.
 */
export function signedEntryText(entry: Readonly<Record<string, unknown>>): string {
  const unsigned = Object.fromEntries(Object.entries(entry).filter(([key]) => key !== 'signature'))
  return `canemark entry 1\n${canonicalize(unsigned)}`
}

/** One request as it is signed. */
export type SignedRequest = {
  method: string
  /** Path and query as they stand in the request line. */
  target: string
  /** The device's id; nil while it has none yet. */
  deviceId: string
  /** The batch number of a push; for any other request the time in seconds since 1970, UTC. */
  number: number
  /** SHA-256 of the exact body, 64 hexadecimal digits in lower case. */
  bodyHash: string
}

/** The text that a request's signature is over. */
export function signedRequestText(request: SignedRequest): string {
  const { method, target, deviceId, number, bodyHash } = request
  return `canemark request 1\n${method} ${target}\n${deviceId} ${number}\n${bodyHash}\n`
}
