// How warm wood was kept by the readings: aged, frozen, about to swell, or not known.
import { MS_PER_DAY, MS_PER_HOUR, MS_PER_MINUTE } from './intervals.ts'
import type { KnownLotFacts } from './lot-facts.ts'
import type { Policies } from './policies.ts'
import { reasonOf } from './reasons.ts'
import type { Reason } from './reasons.ts'
import { thermalAgeDays, unmeasuredDays } from './thermal-facts.ts'
import type { ThermalFacts } from './thermal-facts.ts'

/**
 * Judges by readings, beside the calendar and never more mildly. Where there are none this says
 * so, and calendar days stand alone. Facts without `thermal` come from an older snapshot and are
 * not judged here. Potted vines grow and are not stored.
 */
export function judgeThermal(lot: KnownLotFacts, policies: Policies, now: number): Reason[] {
  if (lot.thermal === undefined || lot.material === 'potted vine') return []
  const { thermal } = lot
  if (thermal === null || thermal.sums.measuredHours <= 0) {
    return [reasonOf('storage.no_readings', { unmeasuredMinutes: null })]
  }
  const isWood = lot.material === 'scion wood' || lot.material === 'rootstock wood'
  return [
    ...judgeCold(thermal),
    ...(isWood ? judgeAge(thermal, policies, now) : []),
    ...judgeWarmth(thermal, policies),
    ...judgeGaps(thermal, policies, now),
  ]
}

function judgeCold({ lowestTempC, rules }: ThermalFacts): Reason[] {
  if (lowestTempC === null || lowestTempC >= rules.frostLimitC) return []
  if (lowestTempC < rules.freezeLimitC) {
    return [reasonOf('storage.frozen', { lowestTempC, limitC: rules.freezeLimitC })]
  }
  return [reasonOf('storage.frost', { lowestTempC, limitC: rules.frostLimitC })]
}

function judgeAge(thermal: ThermalFacts, policies: Policies, now: number): Reason[] {
  const ageDays = tenths(thermalAgeDays(thermal, now))
  const storedDays = Math.max(0, Math.floor((now - thermal.fromAt) / MS_PER_DAY))
  const stopDays = policies.storageStopDays.value
  const cautionDays = policies.storageCautionDays.value
  const facts = { ageDays, storedDays, setTempC: thermal.rules.setTempC }
  if (ageDays > stopDays) return [reasonOf('storage.aged', { ...facts, limitDays: stopDays })]
  if (ageDays <= cautionDays) return []
  return [reasonOf('storage.ageing', { ...facts, limitDays: cautionDays, stopDays })]
}

function judgeWarmth(thermal: ThermalFacts, policies: Policies): Reason[] {
  const { sums, rules, largest } = thermal
  const reasons: Reason[] = []
  const degreeDays = tenths(sums.swellDegreeDays)
  const limitDegreeDays = policies.swellCautionDegreeDays.value
  if (degreeDays > limitDegreeDays) {
    reasons.push(
      reasonOf('storage.swelling', { degreeDays, limitDegreeDays, baseC: rules.swellBaseC }),
    )
  }
  const warmMinutes = Math.floor(sums.aboveWakingHours * 60)
  const limitHours = policies.wakingMaxHours.value
  if (warmMinutes > limitHours * 60) {
    const warmest = largest?.kind === 'warm' ? largest : null
    reasons.push(
      reasonOf('storage.warm', {
        warmMinutes,
        limitHours,
        limitC: rules.wakingLimitC,
        peakTempC: thermal.highestTempC,
        beganAt: warmest?.beganAt ?? null,
        endedAt: warmest?.endedAt ?? null,
      }),
    )
  }
  return reasons
}

/** Time without readings counts by the calendar; a room that fell silent must be looked at. */
function judgeGaps(thermal: ThermalFacts, policies: Policies, now: number): Reason[] {
  const reasons: Reason[] = []
  const limitHours = policies.readingsSilentHours.value
  const unmeasuredMinutes = Math.floor((unmeasuredDays(thermal, now) * MS_PER_DAY) / MS_PER_MINUTE)
  if (unmeasuredMinutes > limitHours * 60) {
    reasons.push(reasonOf('storage.no_readings', { unmeasuredMinutes }))
  }
  const silentMs = thermal.now === null ? 0 : thermal.toAt - thermal.now.readAt
  if (silentMs > limitHours * MS_PER_HOUR) {
    const silentMinutes = Math.floor(silentMs / MS_PER_MINUTE)
    reasons.push(reasonOf('storage.readings_stopped', { silentMinutes, limitHours }))
  }
  return reasons
}

/** Down to a tenth: what is shown never crosses a limit that the number itself does not. */
const tenths = (value: number) => Math.floor(value * 10) / 10
