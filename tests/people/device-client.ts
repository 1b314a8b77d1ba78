// A phone as the server sees it: a key that cannot be taken out, signed entries, numbered batches.
import type { Hono } from 'hono'
import { NIL_ID } from '#wire/basics.ts'
import type { DeviceStateShape } from '#wire/api-enrol.ts'
import type { PushAnswerShape } from '#wire/api-entries.ts'
import type { EntryBody, EntryKind } from '#wire/entry.ts'
import {
  keyAlgorithm,
  signAlgorithm,
  signedEntryText,
  signedRequestText,
  SIGNATURE_HEADER,
} from '#wire/sign.ts'
import { newId } from '../../api/platform/clock.ts'
import type { Env } from '../../api/platform/services.ts'

const text = new TextEncoder()
const base64url = (bytes: ArrayBuffer) => Buffer.from(bytes).toString('base64url')

/** An entry as a phone holds it in its queue. */
export type PhoneEntry = Record<string, unknown> & { id: string; kind: string; body: object }

/** What one request is sent with; a test changes parts of it after signing. */
export type Sent = { path: string; method: string; header: string; body: string }

/** A phone with a key of its own, which makes its signatures by WebCrypto alone. */
export class DeviceClient {
  deviceId = NIL_ID
  counter = 0
  number = 0
  readonly personId = newId()
  private readonly app: Hono<Env>
  private readonly keys: CryptoKeyPair
  /** The raw public key in base64url. */
  readonly publicKey: string

  private constructor(app: Hono<Env>, keys: CryptoKeyPair, publicKey: string) {
    this.app = app
    this.keys = keys
    this.publicKey = publicKey
  }

  /** A new phone, not enrolled yet. */
  static async make(app: Hono<Env>): Promise<DeviceClient> {
    const keys = await crypto.subtle.generateKey(keyAlgorithm, false, ['sign', 'verify'])
    const raw = await crypto.subtle.exportKey('raw', keys.publicKey)
    return new DeviceClient(app, keys, base64url(raw))
  }

  /** Brings the key in with a code; from then on the phone knows its id. */
  async enrol(code: string): Promise<Response> {
    const body = JSON.stringify({ code, publicKey: this.publicKey })
    const response = await this.send(await this.signed('POST', '/api/enrol', body, 0))
    if (response.status === 201) {
      this.deviceId = ((await response.clone().json()) as DeviceStateShape).deviceId
    }
    return response
  }

  /** Writes an entry down with the next counter, signed. */
  async entry<K extends EntryKind>(
    kind: K,
    body: EntryBody<K>,
    changes: object = {},
  ): Promise<PhoneEntry> {
    this.counter += 1
    const entry = {
      id: newId(),
      kind,
      v: 1,
      occurredAt: '2027-02-03T08:00:00Z',
      device: this.deviceId,
      deviceCounter: this.counter,
      person: this.personId,
      body,
      ...changes,
    }
    return { ...entry, signature: await this.signature(signedEntryText(entry)) }
  }

  /** An entry that registers a block. */
  block(changes: object = {}): Promise<PhoneEntry> {
    return this.entry('block.registered', { blockId: newId(), name: 'Long', note: '' }, changes)
  }

  /** Signs a batch under the next number, or the one given. */
  async batch(entries: unknown[], number = this.number + 1): Promise<Sent> {
    this.number = Math.max(this.number, number)
    return this.signed('POST', '/api/entries', JSON.stringify({ entries }), number)
  }

  /** Pushes entries; the answer must be 200. */
  async push(entries: unknown[]): Promise<PushAnswerShape> {
    const response = await this.send(await this.batch(entries))
    if (response.status !== 200) throw new Error(`${response.status} ${await response.text()}`)
    return (await response.json()) as PushAnswerShape
  }

  /** Asks for something, signed with the time. */
  async get(path: string, at: Date): Promise<Response> {
    return this.send(await this.signed('GET', path, '', Math.floor(at.getTime() / 1000)))
  }

  /** Signs a request with this phone's key, under this phone's id or the one given. */
  async signed(
    method: string,
    path: string,
    body: string,
    number: number,
    deviceId = this.deviceId,
  ): Promise<Sent> {
    const digest = await crypto.subtle.digest('SHA-256', text.encode(body))
    const bodyHash = Buffer.from(digest).toString('hex')
    const request = { method, target: path, deviceId, number, bodyHash }
    const signature = await this.signature(signedRequestText(request))
    return { path, method, header: `${deviceId} ${number} ${signature}`, body }
  }

  /** Sends what was signed. */
  async send({ path, method, header, body }: Sent): Promise<Response> {
    return this.app.request(path, {
      method,
      headers: { 'content-type': 'application/json', [SIGNATURE_HEADER]: header },
      ...(method === 'GET' ? {} : { body }),
    })
  }

  /** Signs any text. */
  async signature(what: string): Promise<string> {
    return base64url(
      await crypto.subtle.sign(signAlgorithm, this.keys.privateKey, text.encode(what)),
    )
  }
}
