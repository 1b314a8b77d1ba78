// What each policy is called, and how its value is shown and typed.
import type { Policy, PolicyKey } from '#trade/policies.ts'
import { ladderLine } from '../../nursery/policy-values.ts'

/** The name of each policy; the unit is shown beside the value. */
export const policyNames: Readonly<Record<PolicyKey, string>> = {
  storageCautionDays: 'Wood stored: caution after',
  storageStopDays: 'Wood stored: stop after',
  vineStorageStopDays: 'Vines stored: stop after',
  storeUnrecordedMaxHours: 'Time without a record of the place: at most',
  storageSetTempC: 'Store: temperature at which a day counts as a day',
  thermalQ10: 'Ageing: times as fast when 10 °C warmer',
  wakingLimitC: 'Store: buds wake above',
  wakingMaxHours: 'Store: hours above that, caution after',
  frostLimitC: 'Store: frost, caution below',
  freezeLimitC: 'Store: frozen, stop below',
  swellBaseC: 'Degree-days towards swelling: above',
  swellCautionDegreeDays: 'Degree-days towards swelling: caution after',
  readingGapMinutes: 'Readings: a gap when further apart than',
  readingsSilentHours: 'Readings: a logger is silent after',
  soakMinHours: 'Soak: at least',
  soakMaxHours: 'Soak: at most',
  outOfWaterCautionHours: 'Out of water after the soak: caution after',
  outOfWaterMaxHours: 'Out of water after the soak: stop after',
  viabilityCheckDays: 'Buds: to be looked at again after',
  viabilityLeastShare: 'Buds: share alive, at least',
  moistureLeastShare: 'Moisture of wood, of fresh weight: at least',
  waterLossMaxShare: 'Water lost since cutting: at most',
  referenceVpdKPa: 'Out of water: the hours are meant for air of',
  bathSticksPerLitre: 'Bath: sticks for each litre',
  handoverAcceptHours: 'Handover: to be accepted within',
  balanceToleranceShare: 'Balance of a lot: may lack at most',
  contactHoldStops: 'Contact with held wood stops',
  holdReleaseNeedsTwo: 'Lifting a hold takes a second person',
  takeInsufficientShare: 'Take is insufficient below',
  purityMaxDefectiveShare: 'Defective wood in a lot: at most',
  classLadder: 'Order of classes, by scheme',
  snapshotStaleHours: 'A phone’s records are old after',
  clockToleranceMinutes: 'Clocks may differ by',
  fieldOverageShare: 'Extra buds to order for field grafting',
  budsPerVine: 'Buds to set on a vine',
  usableBudsPerStick: 'Usable buds on a stick',
  scionPackageSticks: 'Sticks in a package of scion wood',
}

/** The value in words: `24 hours`, `0.5 (50 %)`, `yes`, or one line for each scheme. */
export function policyValueWords(policy: Policy): string {
  const { value, unit } = policy
  if (typeof value === 'boolean') return value ? 'yes' : 'no'
  if (typeof value === 'number') {
    if (unit !== 'share') return `${value} ${unit}`
    return `${value} (${Number((value * 100).toFixed(4))} %)`
  }
  return value.map(ladderLine).join('\n')
}

/** The value as it is typed into the form. */
export function policyValueTyped(policy: Policy): string {
  const { value } = policy
  if (typeof value === 'boolean') return value ? 'yes' : 'no'
  return typeof value === 'number' ? String(value) : value.map(ladderLine).join('\n')
}
