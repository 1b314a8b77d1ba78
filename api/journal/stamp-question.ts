// Asks a time-stamping authority (RFC 3161) to stamp the bytes of a note, and takes its answer.
import { createHash, randomBytes } from 'node:crypto'
import { Integer, Null, OctetString } from 'asn1js'
import { AlgorithmIdentifier, MessageImprint, TimeStampReq } from 'pkijs'
import { assert } from '../platform/errors.ts'

/** Most bytes of an answer that are taken: a token with its certificates has a few thousand. */
export const ANSWER_BYTE_LIMIT = 64 * 1024
/** From the question to the last byte of the answer, in milliseconds. */
const ANSWER_WAIT_MS = 15_000
const NONCE_BYTES = 16
/** SHA-256, NIST's arc. */
export const sha256Oid = '2.16.840.1.101.3.4.2.1'

/** A question as it is sent, and what its answer must name again. */
export type StampQuestion = { der: Buffer; imprint: Buffer; nonce: Buffer }

/**
 * The TimeStampReq of RFC 3161 §2.4.1 over the note's bytes: version 1, SHA-256, a fresh random
 * nonce, and the wish that the authority's certificate comes along.
 */
export function stampQuestion(note: string): StampQuestion {
  const imprint = createHash('sha256').update(note, 'utf8').digest()
  const nonce = randomBytes(NONCE_BYTES)
  // A positive INTEGER of DER whose first byte is not zero.
  nonce.writeUInt8((nonce.readUInt8(0) & 0x3f) | 0x40, 0)
  const request = new TimeStampReq({
    version: 1,
    messageImprint: new MessageImprint({
      hashAlgorithm: new AlgorithmIdentifier({
        algorithmId: sha256Oid,
        algorithmParams: new Null(),
      }),
      hashedMessage: new OctetString({ valueHex: imprint }),
    }),
    nonce: new Integer({ valueHex: nonce }),
    certReq: true,
  })
  const der = Buffer.from(request.toSchema().toBER())
  assert(der.includes(nonce) && der.includes(imprint), 'a question holds its imprint and nonce')
  return { der, imprint, nonce }
}

/**
 * Posts the question by RFC 3161 §3.4 and gives the answer's bytes, unread. Throws an Error in
 * words: another status than 200, more than ANSWER_BYTE_LIMIT bytes, or nothing in `waitMs`.
 */
export async function postQuestion(
  url: string,
  { der }: StampQuestion,
  { waitMs = ANSWER_WAIT_MS, stopping }: { waitMs?: number; stopping?: AbortSignal } = {},
): Promise<Buffer> {
  const late = AbortSignal.timeout(waitMs)
  try {
    const response = await fetch(url, {
      method: 'POST',
      headers: {
        'content-type': 'application/timestamp-query',
        accept: 'application/timestamp-reply',
      },
      body: new Uint8Array(der),
      redirect: 'error',
      signal: stopping === undefined ? late : AbortSignal.any([late, stopping]),
    })
    if (response.ok) return await readAtMost(response)
    await response.body?.cancel()
    throw new Error(`the authority answered ${response.status}`)
  } catch (error) {
    if (late.aborted && stopping?.aborted !== true) {
      throw new Error(`the authority did not answer whole within ${waitMs / 1000} seconds`)
    }
    throw error
  }
}

async function readAtMost(response: Response): Promise<Buffer> {
  const parts: Uint8Array[] = []
  let bytes = 0
  const reader = response.body?.getReader()
  for (;;) {
    const { done, value } = (await reader?.read()) ?? { done: true, value: undefined }
    if (done || value === undefined) return Buffer.concat(parts)
    bytes += value.length
    if (bytes > ANSWER_BYTE_LIMIT) {
      await reader?.cancel()
      throw new Error(`the answer has more than ${ANSWER_BYTE_LIMIT} bytes, which no stamp has`)
    }
    parts.push(value)
  }
}
