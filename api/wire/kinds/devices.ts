// Entries about who may write: devices enrolled and revoked, and what was accepted all the same.
import { z } from 'zod'
import { EntryId, Id, Reason } from '../basics.ts'
import { PublicKey } from '../sign.ts'

export const deviceKinds = {
  /** The office compared a device's key and lets it write from now on. */
  'device.enrolled': {
    v: 1,
    body: z.strictObject({
      deviceId: Id,
      publicKey: PublicKey.nullable().describe('null for a machine that only holds a token'),
    }),
  },
  /** A device may write no more. */
  'device.revoked': { v: 1, body: z.strictObject({ deviceId: Id, reason: Reason }) },
  /** An entry that came from a revoked device was judged true and taken in. */
  'entry.accepted': {
    v: 1,
    body: z.strictObject({ entryId: EntryId, deviceId: Id, reason: Reason }),
  },
} as const

/** What only the office may write: a device that sends one of these has it set aside. */
export const officeKinds: ReadonlySet<string> = new Set([
  'hold.lifted',
  'policy.set',
  ...Object.keys(deviceKinds),
])
