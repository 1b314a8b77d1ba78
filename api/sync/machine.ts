// What a door for machines asks beside the token: a machine that may write the kind, a small body.
import { bodyLimit } from 'hono/body-limit'
import { createMiddleware } from 'hono/factory'
import type { EntryKind } from '#wire/entry.ts'
import type { ApiEnv } from './device.ts'
import { problemResponse } from '../platform/problem.ts'

/** Lets in machines that may write `kind`; `does` says what they do here, as in `brings lots`. */
export function machineThatWrites(kind: EntryKind, does: string) {
  return createMiddleware<ApiEnv>(async function machineThatWrites(c, next) {
    const device = c.get('device')
    const allowed = device.writeKinds?.includes(kind) ?? true
    if (device.revokedAt === null && device.publicKey === null && allowed) return next()
    const detail =
      device.revokedAt !== null
        ? 'this device was revoked; have the office enrol another'
        : `only a machine that may write ${kind} ${does} here; a phone signs entries and sends ` +
          'them to /api/entries'
    return problemResponse(c, 403, 'not_allowed', detail)
  })
}

/** Refuses a larger body, unread; `what` names it, as in `the document`. */
export function bodyWithin(maxSize: number, what: string) {
  return bodyLimit({
    maxSize,
    onError: (c) => {
      const detail = `${what} is too large; send at most ${maxSize} bytes: part it`
      return problemResponse(c, 413, 'too_large', detail)
    },
  })
}
