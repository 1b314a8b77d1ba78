// Photos that a phone sends beside its entries: what may be sent, and what it is told.
import { z } from 'zod'

/** Largest photo, in bytes. */
export const PHOTO_BYTE_LIMIT = 2 * 1024 * 1024
/** Most photos of one entry. */
export const PHOTO_LIMIT = 10
/** Kinds of picture that are taken in. */
export const PHOTO_TYPES = ['image/jpeg', 'image/png', 'image/webp'] as const
export type PhotoType = (typeof PHOTO_TYPES)[number]

/**
 * The kind of picture by its first bytes, whatever it is said to be: JPEG (ITU-T T.81 SOI and a
 * further marker), PNG (ISO/IEC 15948 §5.2), WebP (RFC 9649 §2.4). Null for anything else.
 */
export function photoTypeOf(bytes: Uint8Array): PhotoType | null {
  const begins = (at: number, wanted: readonly number[]) =>
    bytes.length > at + wanted.length && wanted.every((byte, nr) => bytes[at + nr] === byte)
  if (begins(0, [0xff, 0xd8, 0xff])) return 'image/jpeg'
  if (begins(0, [0x89, 0x50, 0x4e, 0x47, 0x0d, 0x0a, 0x1a, 0x0a])) return 'image/png'
  const isRiff = begins(0, [0x52, 0x49, 0x46, 0x46])
  return isRiff && begins(8, [0x57, 0x45, 0x42, 0x50]) ? 'image/webp' : null
}

/** What became of a photo. */
export const PhotoAnswer = z
  .strictObject({
    entryId: z.string(),
    sha256: z.string().describe('of the bytes as they arrived, in hexadecimal'),
    result: z.enum(['kept', 'already kept']),
  })
  .meta({ id: 'PhotoAnswer' })
