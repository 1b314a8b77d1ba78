// How a phone brings its key in: the code that the office shows, and the fingerprint both compare.
import { z } from 'zod'
import { TAG_ALPHABET } from '#trade/tag-code.ts'
import { PublicKey } from './sign.ts'

/** Characters of an enrolment code: 40 bits that live ten minutes. */
export const ENROL_CODE_LENGTH = 8
/** Characters of a fingerprint: the first 100 bits of the SHA-256 of the raw public key. */
export const FINGERPRINT_LENGTH = 20

/** Where the phone app begins; the code stands behind #, so that no log and no proxy sees it. */
export function enrolAddress(origin: string, code: string): string {
  return `${origin}/scanner/#enrol=${code}`
}

/** The code as it is kept: capitals, no spaces or hyphens, O read as 0, I and L as 1. */
export function plainEnrolCode(typed: string): string {
  return typed.toUpperCase().replace(/[\s-]/g, '').replaceAll('O', '0').replace(/[IL]/g, '1')
}

/** The first `length` times five bits of `bytes` in Crockford's base32, as on tags. */
export function base32(bytes: Uint8Array, length: number): string {
  let text = ''
  for (let nr = 0; nr < length; nr += 1) {
    const bit = nr * 5
    const pair = ((bytes[bit >> 3] ?? 0) << 8) | (bytes[(bit >> 3) + 1] ?? 0)
    text += TAG_ALPHABET[(pair >> (11 - (bit & 7))) & 31] ?? ''
  }
  return text
}

/** In groups of four, to be read aloud and compared. */
export function inGroups(text: string): string {
  return text.replace(/(.{4})(?=.)/g, '$1 ')
}

/** The fingerprint of a key, from the SHA-256 of its raw bytes, in groups of four. */
export function fingerprint(digest: Uint8Array): string {
  return inGroups(base32(digest, FINGERPRINT_LENGTH))
}

/** What a phone sends with its first request, signed by the key it brings. */
export const EnrolRequest = z
  .strictObject({
    code: z.string().max(20).describe('the code that the office shows; capitals do not matter'),
    publicKey: PublicKey,
  })
  .meta({ id: 'EnrolRequest' })

/** What a device is told of itself. */
export const DeviceState = z
  .strictObject({
    deviceId: z.string(),
    name: z.string(),
    state: z
      .enum(['waiting', 'active', 'revoked'])
      .describe('waiting: the office has not compared the fingerprint yet'),
    fingerprint: z.string().nullable(),
    lastNumber: z
      .int()
      .min(0)
      .describe('the highest batch number so far; the next batch needs a higher one'),
    serverTime: z.string().describe('ISO 8601 in UTC, to set the device’s own clock against'),
  })
  .meta({ id: 'DeviceState' })

export type DeviceStateShape = z.infer<typeof DeviceState>
