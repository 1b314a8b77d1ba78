// Who signed a request: the device it names, by the key that it was enrolled with.
import { createHash } from 'node:crypto'
import { sql } from 'kysely'
import { Id } from '#wire/basics.ts'
import { signedRequestText } from '#wire/sign.ts'
import type { Database } from '../../db/connect.ts'
import { refuse } from '../platform/errors.ts'
import { findDevice } from './devices.ts'
import type { KnownDevice } from './devices.ts'
import { isSigned } from './keys.ts'

/** How far the time in a signed request may be from ours, in seconds. */
export const REQUEST_CLOCK_SECONDS = 600

/** The three parts of the header. */
export type SignatureHeader = { deviceId: string; number: number; signature: string }

/** Reads `DEVICE NUMBER SIGNATURE`; null when it is not written so. */
export function readSignatureHeader(text: string): SignatureHeader | null {
  const [deviceId = '', number = '', signature = '', ...rest] = text.split(' ')
  const isNumber = /^(0|[1-9]\d{0,15})$/.test(number) && Number.isSafeInteger(Number(number))
  if (rest.length > 0 || !isNumber || !Id.safeParse(deviceId).success) return null
  return { deviceId, number: Number(number), signature }
}

/** A request as far as its signature covers it. */
export type ArrivedRequest = { method: string; target: string; body: Uint8Array }

/** Is this what the owner of `publicKey` signed, to the byte? */
export async function isSignedRequest(
  publicKey: Buffer,
  header: SignatureHeader,
  request: ArrivedRequest,
): Promise<boolean> {
  const { deviceId, number, signature } = header
  const { method, target } = request
  const bodyHash = hashBody(request.body).toString('hex')
  const text = signedRequestText({ method, target, deviceId, number, bodyHash })
  return isSigned(publicKey, text, signature)
}

/** Refuses with 401 `bad_signature`: something was altered, or another key signed. */
export function refuseBadSignature(): never {
  const detail =
    'the signature does not fit this request and this device’s key; ' +
    'keep the entries, sign the request again and send it'
  return refuse('bad_signature', detail, { status: 401 })
}

/** Refuses with 401 `clock_differs` a request whose time is too far from ours. */
export function refuseOld(seconds: number, now: Date): void {
  if (Math.abs(seconds - now.getTime() / 1000) <= REQUEST_CLOCK_SECONDS) return
  const detail =
    `the time in the signature is more than ${REQUEST_CLOCK_SECONDS} s from the server’s, ` +
    `which is ${now.toISOString()}; count from the server’s time and sign again`
  refuse('clock_differs', detail, { status: 401 })
}

/**
 * Takes a batch's number: higher than any before, or the last one again with the very same body,
 * for the answer may have been lost. Refuses anything else with 409 `old_number`, nothing read.
 */
export async function takeNumber(
  db: Database,
  device: KnownDevice,
  batch: { number: number; body: Uint8Array; now: Date },
): Promise<void> {
  const bodyHash = hashBody(batch.body)
  const taken = await sql`
    update device set last_number = ${batch.number}, last_body_hash = ${bodyHash},
      last_seen_at = ${batch.now}
    where device_id = ${device.deviceId} and (last_number < ${batch.number}
      or (last_number = ${batch.number} and last_body_hash = ${bodyHash}))`.execute(db)
  if (taken.numAffectedRows === 1n) return
  const row = await findDevice(db, { deviceId: device.deviceId })
  const detail =
    `batch ${batch.number} comes after batch ${row?.lastNumber ?? 0} of this device; ` +
    'number the next batch higher, sign it and send it'
  refuse('old_number', detail, { status: 409 })
}

/** Notes that a device without numbers was here. */
export async function noteSeen(db: Database, device: KnownDevice, now: Date): Promise<void> {
  await db
    .updateTable('device')
    .set({ last_seen_at: now })
    .where('device_id', '=', device.deviceId)
    .execute()
}

const hashBody = (body: Uint8Array) => createHash('sha256').update(body).digest()
