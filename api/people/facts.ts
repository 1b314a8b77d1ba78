// What entries about devices state.
import { subjects } from '../journal/fact-rows.ts'
import type { FactsOfKinds } from '../journal/fact-rows.ts'

type DeviceKind = 'device.enrolled' | 'device.revoked' | 'entry.accepted'

export const deviceFacts: FactsOfKinds<DeviceKind> = {
  'device.enrolled': (entry) => ({
    device_key: [
      {
        entry_id: entry.id,
        device_id: entry.body.deviceId,
        public_key: entry.body.publicKey,
        person_id: entry.person,
        enrolled_at: entry.occurredAt,
      },
    ],
    entry_subject: subjects(entry, [{ kind: 'device', id: entry.body.deviceId }]),
  }),
  'device.revoked': (entry) => ({
    device_revocation: [
      {
        entry_id: entry.id,
        device_id: entry.body.deviceId,
        reason: entry.body.reason,
        person_id: entry.person,
        revoked_at: entry.occurredAt,
      },
    ],
    entry_subject: subjects(entry, [{ kind: 'device', id: entry.body.deviceId }]),
  }),
  'entry.accepted': (entry) => ({
    entry_acceptance: [
      {
        entry_id: entry.id,
        accepted_id: entry.body.entryId,
        device_id: entry.body.deviceId,
        reason: entry.body.reason,
        person_id: entry.person,
        accepted_at: entry.occurredAt,
      },
    ],
    entry_subject: subjects(entry, [{ kind: 'device', id: entry.body.deviceId }]),
  }),
}
