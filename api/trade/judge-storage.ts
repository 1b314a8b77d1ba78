// How long wood or vines have been stored by the calendar, and whether the records say where.
import { MS_PER_DAY, MS_PER_MINUTE, uncoveredMs } from './intervals.ts'
import type { KnownLotFacts } from './lot-facts.ts'
import type { Policies } from './policies.ts'
import { reasonOf } from './reasons.ts'
import type { Reason } from './reasons.ts'

/**
 * Judges storage by whole days elapsed since cutting (lifting, for vines). Without a cut date the
 * earliest record stands in: the wood is at least that old. Potted vines grow and are not stored.
 * A later `now` never takes a stop away.
 */
export function judgeStorage(lot: KnownLotFacts, policies: Policies, now: number): Reason[] {
  if (lot.material === 'potted vine') return []
  const startAt = lot.cutAt ?? earliestRecord(lot)
  if (startAt === null) return [reasonOf('storage.age_unknown', { atLeastDays: null })]
  const storedDays = Math.max(0, Math.floor((now - startAt) / MS_PER_DAY))
  const reasons: Reason[] = []
  if (lot.cutAt === null) {
    reasons.push(reasonOf('storage.age_unknown', { atLeastDays: storedDays }))
  }
  reasons.push(...judgeDays(lot, policies, storedDays))
  const unrecordedMs = uncoveredMs(startAt, now, [...lot.stays, ...lot.soaks])
  const unrecordedMinutes = Math.floor(unrecordedMs / MS_PER_MINUTE)
  const limitHours = policies.storeUnrecordedMaxHours.value
  if (unrecordedMinutes > limitHours * 60) {
    reasons.push(reasonOf('storage.unrecorded', { unrecordedMinutes, limitHours }))
  }
  return reasons
}

function judgeDays(lot: KnownLotFacts, policies: Policies, storedDays: number): Reason[] {
  if (lot.material !== 'scion wood' && lot.material !== 'rootstock wood') {
    const limitDays = policies.vineStorageStopDays.value
    if (storedDays <= limitDays) return []
    return [reasonOf('storage.vines_too_long', { storedDays, limitDays })]
  }
  const stopDays = policies.storageStopDays.value
  if (storedDays > stopDays) {
    return [reasonOf('storage.too_long', { storedDays, limitDays: stopDays })]
  }
  const limitDays = policies.storageCautionDays.value
  if (storedDays <= limitDays) return []
  return [reasonOf('storage.long', { storedDays, limitDays, stopDays })]
}

function earliestRecord(lot: KnownLotFacts): number | null {
  const times = [...lot.stays, ...lot.soaks].map((span) => span.beganAt)
  if (lot.receivedAt !== null) times.push(lot.receivedAt)
  return times.length === 0 ? null : Math.min(...times)
}
