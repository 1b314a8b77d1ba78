// POST /api/enrol: a phone brings its key in; GET /api/device: a device asks how it stands.
import { createRoute } from '@hono/zod-openapi'
import type { OpenAPIHono } from '@hono/zod-openapi'
import type { Context } from 'hono'
import { bodyLimit } from 'hono/body-limit'
import { DeviceState, EnrolRequest } from '#wire/api-enrol.ts'
import type { DeviceStateShape } from '#wire/api-enrol.ts'
import { NIL_ID } from '#wire/basics.ts'
import { SIGNATURE_HEADER } from '#wire/sign.ts'
import { deviceState, findDevice } from '../people/devices.ts'
import type { KnownDevice } from '../people/devices.ts'
import { useEnrolCode } from '../people/enrolment.ts'
import { fingerprintOf, readPublicKey } from '../people/keys.ts'
import {
  isSignedRequest,
  readSignatureHeader,
  refuseBadSignature,
} from '../people/signed-request.ts'
import { assert, refuse } from '../platform/errors.ts'
import { addressKey } from '../platform/limits.ts'
import { problemResponse } from '../platform/problem.ts'
import { clientAddress } from '../platform/request.ts'
import { ownDevice, targetOf } from './device.ts'
import type { ApiEnv } from './device.ts'
import { problems } from './problems.ts'

/** Largest request to enrol, in bytes: a code and a key. */
const ENROL_BYTE_LIMIT = 4096

/** Adds both operations to the machine API. */
export function addEnrolment(api: OpenAPIHono<ApiEnv>): void {
  api.openapi(enrolRoute, async (c) => {
    const { db, clock } = c.get('services')
    const { limits } = c.get('doors')
    const address = addressKey(clientAddress(c as Context))
    await limits.count('enrol address', address)
    const given = c.req.valid('json')
    const publicKey = readPublicKey(given.publicKey)
    if (publicKey === null) {
      return refuse('bad_key', 'publicKey is no point of the curve P-256; make a new key')
    }
    await proveKey(c, publicKey)
    const deviceId = await useEnrolCode(db, { code: given.code, publicKey, now: clock.now() })
    await limits.forget('enrol address', address)
    const device = await findDevice(db, { deviceId })
    assert(device !== null, 'a device that was just made is there')
    return c.json(stateOf(device, clock.now()), 201)
  })
  api.openapi(stateRoute, (c) => {
    return c.json(stateOf(c.get('device'), c.get('services').clock.now()), 200)
  })
}

/** The phone holds the private half of the key that it brings. */
async function proveKey(c: Context<ApiEnv>, publicKey: Buffer): Promise<void> {
  const header = readSignatureHeader(c.req.header(SIGNATURE_HEADER) ?? '')
  const body = new Uint8Array(await c.req.arrayBuffer())
  const request = { method: c.req.method, target: targetOf(c), body }
  const isOwn = header !== null && header.deviceId === NIL_ID
  if (isOwn && (await isSignedRequest(publicKey, header, request))) return
  refuseBadSignature()
}

function stateOf(device: KnownDevice, now: Date): DeviceStateShape {
  return {
    deviceId: device.deviceId,
    name: device.name,
    state: deviceState(device),
    fingerprint: device.publicKey === null ? null : fingerprintOf(device.publicKey),
    lastNumber: device.lastNumber,
    serverTime: now.toISOString(),
  }
}

const withinLimit = bodyLimit({
  maxSize: ENROL_BYTE_LIMIT,
  onError: (c) => problemResponse(c, 413, 'too_large', `send at most ${ENROL_BYTE_LIMIT} bytes`),
})

const answer = { 'application/json': { schema: DeviceState } }

const enrolRoute = createRoute({
  method: 'post',
  path: '/enrol',
  operationId: 'enrol',
  tags: ['devices'],
  summary: 'Bring a key in',
  description:
    'Uses the code that the office shows, once. The request is signed with the key that it ' +
    'brings, under the nil id. The device then waits until the office has compared fingerprints.',
  security: [],
  middleware: [withinLimit] as const,
  request: {
    body: { required: true, content: { 'application/json': { schema: EnrolRequest } } },
  },
  responses: {
    201: { description: 'the new device, waiting for the office', content: answer },
    ...problems(400, 401, 403, 413, 415, 422, 429),
  },
})

const stateRoute = createRoute({
  method: 'get',
  path: '/device',
  operationId: 'ownState',
  tags: ['devices'],
  summary: 'How this device stands',
  description: 'For the device that asks: waiting, active or revoked; and the server’s time.',
  security: [{ device: [] }, { signature: [] }],
  middleware: [ownDevice] as const,
  responses: {
    200: { description: 'its state', content: answer },
    ...problems(401, 429),
  },
})
