// Sends one request signed by the phone's key, and brings back what came, whatever that was.
import { SIGNATURE_HEADER, signedRequestText } from '#wire/sign.ts'
import { bodyHash, sign } from '../keys/signing.ts'
import type { Arrived } from './answer.ts'

/** Until an answer must have come whole, in ms; the server waits as long for our request. */
const ANSWER_MS = 120_000

/** The part of `fetch` that we use; a test or a simulation hands in its own. */
export type Fetch = (path: string, init: RequestInit) => Promise<Response>

/** Whose key signs, under which id. */
export interface Signer {
  readonly deviceId: string
  readonly privateKey: CryptoKey
}

export interface SignedRequestParts {
  readonly method: 'GET' | 'POST'
  /** Path and query. */
  readonly target: string
  /** A batch's number, or for any other request the server's time in seconds since 1970. */
  readonly number: number
  readonly body?: Uint8Array<ArrayBuffer>
  /** Of the body; JSON unless said. */
  readonly contentType?: string
}

/** A plain answer with its bytes read as text; never throws. */
export async function signedFetch(
  fetch: Fetch,
  signer: Signer,
  request: SignedRequestParts,
): Promise<Arrived> {
  const response = await signedResponse(fetch, signer, request)
  if (response === null) return noAnswer
  try {
    const type = response.headers.get('content-type') ?? ''
    return {
      status: response.status,
      isJson: /^application\/(problem\+)?json\b/i.test(type),
      text: await response.text(),
      retryAfterSeconds: secondsOf(response.headers.get('retry-after')),
      serverTime: response.headers.get('canemark-time'),
    }
  } catch {
    return noAnswer
  }
}

/** The response itself, for a body that is no text; null when none came. */
export async function signedResponse(
  fetch: Fetch,
  signer: Signer,
  { method, target, number, body, contentType = 'application/json' }: SignedRequestParts,
): Promise<Response | null> {
  const { deviceId, privateKey } = signer
  const hash = await bodyHash(body ?? new Uint8Array())
  const text = signedRequestText({ method, target, deviceId, number, bodyHash: hash })
  const signature = await sign(privateKey, text)
  const headers = { [SIGNATURE_HEADER]: `${deviceId} ${number} ${signature}` }
  try {
    return await fetch(target, {
      method,
      headers: body === undefined ? headers : { ...headers, 'content-type': contentType },
      ...(body === undefined ? {} : { body }),
      cache: 'no-store',
      credentials: 'omit',
      // A redirect leads to somebody's sign-in page, never to our server.
      redirect: 'manual',
      signal: AbortSignal.timeout(ANSWER_MS),
    })
  } catch {
    return null
  }
}

const noAnswer: Arrived = {
  status: 0,
  isJson: false,
  text: '',
  retryAfterSeconds: null,
  serverTime: null,
}

function secondsOf(header: string | null): number | null {
  return header !== null && /^\d{1,6}$/.test(header) ? Number(header) : null
}
