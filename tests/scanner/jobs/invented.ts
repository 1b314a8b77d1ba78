// Invented lots, vines and entries, as a phone would know them.
import { v7 } from 'uuid'
import type {
  Draft,
  PhoneGraft,
  PhoneLot,
  PhoneStock,
  PhoneVine,
  RecentEntry,
} from '../../../scanner/phone.ts'

/** A lower-case UUID that ends in `n`, the same each time. */
export function uuid(n: number): string {
  return `00000000-0000-4000-8000-${String(n).padStart(12, '0')}`
}

/** A lot of six buds to the stick with this stock. */
export function lotWith(stock: readonly PhoneStock[]): PhoneLot {
  const lotId = uuid(1)
  return {
    lotId,
    reference: '27-014',
    varietyName: 'Ruvello',
    clone: '4',
    className: 'certified',
    material: 'scion wood',
    budsPerStick: 6,
    facts: {
      known: true,
      tag: null,
      snapshotAt: null,
      lotId,
      material: 'scion wood',
      varietyId: uuid(2),
      clone: '4',
      scheme: null,
      className: 'certified',
      cutAt: null,
      receivedAt: null,
      sources: [],
      originUnknown: false,
      holds: [],
      left: { sticks: 0, buds: 0 },
      stays: [],
      soaks: [],
      plan: null,
    },
    bundles: [],
    stock,
  }
}

export function graftOf(n: number, changes: Partial<PhoneGraft> = {}): PhoneGraft {
  return {
    graftId: uuid(n),
    lotId: uuid(1),
    budCount: 2,
    graftedAt: `2027-04-0${(n % 9) + 1}T08:00:00Z`,
    removed: false,
    tieReleased: false,
    takeCheckedAt: null,
    ...changes,
  }
}

export function vineOf(position: number, changes: Partial<PhoneVine> = {}): PhoneVine {
  return { position, missing: false, grafts: [], skipped: false, ...changes }
}

/** An entry of this phone with its counter, at a minute of one morning. */
export function entryOf(draft: Draft, deviceCounter: number, minute = deviceCounter): RecentEntry {
  const at = new Date(Date.UTC(2027, 3, 10, 6, 0) + minute * 60_000).toISOString()
  const written = { id: v7(), kind: draft.kind, occurredAt: at, deviceCounter }
  return { written, body: draft.body, sent: false }
}
