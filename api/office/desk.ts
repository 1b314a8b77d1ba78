// Who records what a form says: the person signed in, at the office desk, now.
import type { Context } from 'hono'
import type { Desk } from '../journal/desk.ts'
import type { Env } from '../platform/services.ts'

/** The desk as `recordAtDesk` wants it. */
export function deskOf(c: Context<Env>): Desk {
  const { clock, deskDeviceId } = c.get('services')
  return { deviceId: deskDeviceId, personId: c.get('person').personId, now: clock.now() }
}
