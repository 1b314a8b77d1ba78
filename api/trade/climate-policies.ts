// The policies about temperature in store: limits with their sources, and what is summed by them.
import type { ClimateRules } from './climate-sums.ts'
import type { Policies, Policy } from './policies.ts'

/** The values of these policies; the unit stands in the name or in the policy. */
export interface ClimatePolicyValues {
  readonly storageSetTempC: number
  readonly thermalQ10: number
  readonly wakingLimitC: number
  readonly wakingMaxHours: number
  readonly frostLimitC: number
  readonly freezeLimitC: number
  readonly swellBaseC: number
  readonly swellCautionDegreeDays: number
  readonly readingGapMinutes: number
  readonly readingsSilentHours: number
}

export type ClimatePolicyKey = keyof ClimatePolicyValues

/** The rules by which readings are summed under these policies. */
export function climateRulesOf(policies: Policies): ClimateRules {
  return {
    setTempC: policies.storageSetTempC.value,
    q10: policies.thermalQ10.value,
    wakingLimitC: policies.wakingLimitC.value,
    frostLimitC: policies.frostLimitC.value,
    freezeLimitC: policies.freezeLimitC.value,
    swellBaseC: policies.swellBaseC.value,
    maxGapMinutes: policies.readingGapMinutes.value,
  }
}

const NO_SOURCE = 'common practice, no source'
const FAO_FREEZING = 'FAO Frost Protection, Table 4.8 (after Proebsting 1988), Concord'
const FREEZING_DISAGREEMENT =
  'Fully dormant, hardened vinifera buds bear about -24 °C (Rahemi et al. 2021); buds at late ' +
  'swell lose 10 % at -6.1 °C, at bud burst at -3.9 °C (FAO Table 4.8). Wood in store hardens ' +
  'off, and a popular book asks for no frost at all, because wood below 0 °C dries quickly.'

/** The defaults. */
export const CLIMATE_POLICIES: { readonly [K in ClimatePolicyKey]: Policy<K> } = {
  storageSetTempC: {
    key: 'storageSetTempC',
    value: 1,
    unit: '°C',
    source:
      'International Journal of Sustainable Agricultural Research 5(3):46-53, 2018, ' +
      'doi 10.18488/journal.70.2018.53.46.53',
    sourceNote:
      'Cuttings at 1 °C were usable after 6 and 8 months: the limits in days are for this ' +
      'temperature. Wood at it ages one day a day.',
    disagreement:
      'Published store temperatures run from 0-2 °C (a popular book) over 2.5 °C (Vitisphere) ' +
      'to 4 °C at 90 % humidity (IFV Occitanie); humidities from 80 to 100 %.',
    range: { min: -5, max: 15, whole: false },
  },
  thermalQ10: {
    key: 'thermalQ10',
    value: 2.8,
    unit: 'times per 10 °C',
    source: 'Gardea et al., Metabolic heat rates of breaking grape primary buds, HortScience',
    sourceNote:
      'Metabolic heat of dormant grape buds from 10 to 20 °C. That wood in store ages as its ' +
      'buds respire, and that this holds below 10 °C, is an assumption.',
    disagreement:
      'The same work has 3.8, 3.2 and 3.6 for buds at initial swell, full swell and break; the ' +
      'constants of USP <1160> come to 3.3.',
    range: { min: 1, max: 10, whole: false },
  },
  wakingLimitC: {
    key: 'wakingLimitC',
    value: 8,
    unit: '°C',
    source: 'Popular viticulture book (bibliboba.online): from 8 °C buds begin to move',
    sourceNote: 'A single popular source; no measured limit was found.',
    disagreement:
      'Weaver & Iwasaki (AJEV 28:149-151, 1977) stored wood for 8 weeks at 10 °C and had ' +
      'the most budbreak afterwards, though slower; at 37 °C three days killed the buds.',
    range: { min: 0, max: 40, whole: false },
  },
  wakingMaxHours: {
    key: 'wakingMaxHours',
    value: 24,
    unit: 'hours',
    source: NO_SOURCE,
    sourceNote: 'Hours above the waking limit, summed since cutting, before buds are checked.',
    range: { min: 0, max: 2000, whole: false },
  },
  frostLimitC: {
    key: 'frostLimitC',
    value: -5,
    unit: '°C',
    source: 'Hamman, thesis, Colorado State University, 1987',
    sourceNote: 'In swelling Merlot buds ice forms between -5 and -8 °C.',
    disagreement: FREEZING_DISAGREEMENT,
    range: { min: -40, max: 5, whole: false },
  },
  freezeLimitC: {
    key: 'freezeLimitC',
    value: -10.6,
    unit: '°C',
    source: FAO_FREEZING,
    sourceNote: 'A tenth of the buds is killed at first swell; nine tenths at -19.4 °C.',
    disagreement: FREEZING_DISAGREEMENT,
    range: { min: -50, max: 0, whole: false },
  },
  swellBaseC: {
    key: 'swellBaseC',
    value: 5,
    unit: '°C',
    source:
      'García de Cortázar-Atauri et al., Int. J. Biometeorol. 53:317-326, 2009, ' +
      'doi 10.1007/s00484-009-0217-4',
    sourceNote: 'Degree-days above 5 °C predict budburst better than those above 10 °C.',
    disagreement:
      'With the start tuned to the site a base did not improve prediction (Int. J. ' +
      'Biometeorol. 54:231-241, 2010); older models use 10 °C; the base rises as buds develop.',
    range: { min: -5, max: 15, whole: false },
  },
  swellCautionDegreeDays: {
    key: 'swellCautionDegreeDays',
    value: 40,
    unit: '°C days',
    source: NO_SOURCE,
    sourceNote:
      'No sum to bud swell could be confirmed for any variety. 40 °C days are about a week at ' +
      '11 °C; set your own from a forcing test.',
    range: { min: 0, max: 1000, whole: false },
  },
  readingGapMinutes: {
    key: 'readingGapMinutes',
    value: 60,
    unit: 'minutes',
    source: NO_SOURCE,
    sourceNote: 'Readings further apart leave time without readings, which is never filled in.',
    range: { min: 1, max: 1440, whole: false },
  },
  readingsSilentHours: {
    key: 'readingsSilentHours',
    value: 24,
    unit: 'hours',
    source: NO_SOURCE,
    sourceNote: 'A logger in the room that has said nothing for so long must be looked at.',
    range: { min: 1, max: 2000, whole: false },
  },
}
