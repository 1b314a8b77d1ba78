// Who asks the machine API: a phone by its signature, a machine by its token, a signed-in person.
import { createMiddleware } from 'hono/factory'
import type { Context } from 'hono'
import { SIGNATURE_HEADER } from '#wire/sign.ts'
import { deviceState, findDevice } from '../people/devices.ts'
import type { KnownDevice } from '../people/devices.ts'
import { may } from '../people/rights.ts'
import {
  isSignedRequest,
  noteSeen,
  readSignatureHeader,
  refuseBadSignature,
  refuseOld,
  takeNumber,
} from '../people/signed-request.ts'
import type { SignatureHeader } from '../people/signed-request.ts'
import { refuse } from '../platform/errors.ts'
import { addressKey } from '../platform/limits.ts'
import { problemResponse } from '../platform/problem.ts'
import { clientAddress } from '../platform/request.ts'
import type { CurrentPerson, Env } from '../platform/services.ts'
import { bearerToken } from '../platform/token.ts'

/** The machine API's view of a request. */
export type ApiEnv = { Variables: Env['Variables'] & { device: KnownDevice } }

/** Says which person is signed in, from the request alone. */
export type AuthenticatePerson = (c: Context<Env>) => Promise<CurrentPerson | null>

/** Lets through a request that names a device; a signature is proven by `provenBatch`. */
export const onlyDevice = createMiddleware<ApiEnv>(async function onlyDevice(c, next) {
  const device = await namedDevice(c)
  if (device === null) return unknownDevice(c)
  refuseWaiting(device)
  c.set('device', device)
  await next()
})

/**
 * Proves that the device signed this very body, and that its number comes next; a machine has
 * shown its token already. Reads the whole body, so a limit on it stands before.
 */
export const provenBatch = createMiddleware<ApiEnv>(async function provenBatch(c, next) {
  const device = c.get('device')
  const { db, clock } = c.get('services')
  const header = signatureHeader(c)
  if (header === null) {
    await c.get('doors').limits.count('device', device.deviceId)
    await noteSeen(db, device, clock.now())
    return next()
  }
  const body = new Uint8Array(await c.req.arrayBuffer())
  await proveSignature(c, device, header, body)
  await c.get('doors').limits.count('device', device.deviceId)
  await takeNumber(db, device, { number: header.number, body, now: clock.now() })
  await next()
})

/** Proves that the device signed this very body, with a time that is near ours. */
export const provenUpload = createMiddleware<ApiEnv>(async function provenUpload(c, next) {
  const device = c.get('device')
  const header = signatureHeader(c)
  if (header !== null) {
    await proveSignature(c, device, header, new Uint8Array(await c.req.arrayBuffer()))
    refuseOld(header.number, c.get('services').clock.now())
  }
  if (deviceState(device) === 'revoked') return revokedDevice(c)
  await c.get('doors').limits.count('device', device.deviceId)
  await next()
})

/** Lets readers through; made by `readersOnly`. */
export type Readers = ReturnType<typeof readersOnly>

/** Lets a device through that may read, and a person who may see the record. */
export function readersOnly(authenticate: AuthenticatePerson) {
  return createMiddleware<ApiEnv>(async function readersOnly(c, next) {
    if (c.req.header('authorization') !== undefined || hasSignature(c)) {
      const device = await readingDevice(c)
      if (device === null) return unknownDevice(c)
      if (deviceState(device) === 'revoked') return revokedDevice(c)
      refuseUnlessReader(device)
      c.set('device', device)
      return next()
    }
    const person = await authenticate(c as Context)
    if (person === null) return unknownDevice(c)
    if (!may(person.role, 'see the record')) {
      const detail = `the role ${person.role} may not read this; ask the office`
      return problemResponse(c, 403, 'not_allowed', detail)
    }
    c.set('person', person)
    await next()
  })
}

/** Lets a device through that may read, and no person. */
export const onlyReadingDevice = createMiddleware<ApiEnv>(
  async function onlyReadingDevice(c, next) {
    const device = await readingDevice(c)
    if (device === null) return unknownDevice(c)
    if (deviceState(device) === 'revoked') return revokedDevice(c)
    refuseUnlessReader(device)
    c.set('device', device)
    await next()
  },
)

/** Lets a device through that asks about itself, whatever its state. */
export const ownDevice = createMiddleware<ApiEnv>(async function ownDevice(c, next) {
  const device = await readingDevice(c)
  if (device === null) return unknownDevice(c)
  c.set('device', device)
  await next()
})

/** The device of a request without a body, proven. */
async function readingDevice(c: Context<ApiEnv>): Promise<KnownDevice | null> {
  const device = await namedDevice(c)
  if (device === null) return null
  const header = signatureHeader(c)
  if (header !== null) {
    await proveSignature(c, device, header, new Uint8Array())
    refuseOld(header.number, c.get('services').clock.now())
  }
  await c.get('doors').limits.count('device', device.deviceId)
  return device
}

/** The device that the request names, by its token or by its signature, which is not yet proven. */
async function namedDevice(c: Context<ApiEnv>): Promise<KnownDevice | null> {
  const { db } = c.get('services')
  const device = await deviceNamedIn(c, db)
  if (device === null) await countStranger(c)
  return device
}

async function deviceNamedIn(c: Context<ApiEnv>, db: Env['Variables']['services']['db']) {
  if (hasSignature(c)) {
    const header = signatureHeader(c)
    const device = header === null ? null : await findDevice(db, { deviceId: header.deviceId })
    return device?.publicKey === null ? null : device
  }
  const token = bearerToken(c.req.header('authorization'))
  return token === null ? null : findDevice(db, { token })
}

async function proveSignature(
  c: Context<ApiEnv>,
  device: KnownDevice,
  header: SignatureHeader,
  body: Uint8Array,
): Promise<void> {
  const request = { method: c.req.method, target: targetOf(c), body }
  const { publicKey } = device
  if (publicKey !== null && (await isSignedRequest(publicKey, header, request))) return
  await countStranger(c)
  refuseBadSignature()
}

/** Path and query exactly as they were asked for. */
export const targetOf = (c: Context) => c.req.url.replace(/^[a-z]+:\/\/[^/]*/i, '')

const hasSignature = (c: Context) => c.req.header(SIGNATURE_HEADER) !== undefined

function signatureHeader(c: Context): SignatureHeader | null {
  const text = c.req.header(SIGNATURE_HEADER)
  return text === undefined ? null : readSignatureHeader(text)
}

async function countStranger(c: Context<ApiEnv>): Promise<void> {
  const address = addressKey(clientAddress(c as Context))
  await c.get('doors').limits.count('stranger address', address)
}

function refuseWaiting(device: KnownDevice): void {
  if (deviceState(device) !== 'waiting') return
  const detail =
    'the office has not compared this device’s fingerprint yet; keep the entries and send again'
  refuse('not_confirmed', detail, { status: 403 })
}

function refuseUnlessReader(device: KnownDevice): void {
  refuseWaiting(device)
  if (!device.mayRead) refuse('not_allowed', 'this device may only write', { status: 403 })
}

function unknownDevice(c: Context<ApiEnv>): Response {
  c.header('www-authenticate', 'Bearer realm="canemark"')
  const detail =
    'no enrolled device holds this token or key; send "Authorization: Bearer TOKEN" or sign with ' +
    'Canemark-Signature, or have the office enrol the device again'
  return problemResponse(c, 401, 'unknown_device', detail)
}

/** Told only to whoever has proven to be the device. */
function revokedDevice(c: Context<ApiEnv>): Response {
  c.header('www-authenticate', 'Bearer realm="canemark"')
  const detail =
    'the office revoked this device, and it may read no more; entries that it still holds are ' +
    'taken in and kept aside for the office; to go on, have the office enrol the device again'
  return problemResponse(c, 401, 'revoked_device', detail)
}
