// The policies about checks, drying air, baths and custody of wood, with their sources.
import type { Policy } from './policies.ts'

/** The values of these policies; the unit stands in the name or in the policy. */
export interface WoodPolicyValues {
  readonly viabilityCheckDays: number
  readonly viabilityLeastShare: number
  readonly moistureLeastShare: number
  readonly waterLossMaxShare: number
  readonly referenceVpdKPa: number
  readonly bathSticksPerLitre: number
  readonly handoverAcceptHours: number
  readonly balanceToleranceShare: number
}

export type WoodPolicyKey = keyof WoodPolicyValues

const NO_SOURCE = 'common practice, no source'

const DRY_DISAGREEMENT =
  'The published threshold was measured on trunk and roots of grafted vines; the same paper ' +
  'finds one-year wood highly variable, so that one cane says little. Nodes of Vitis amurensis ' +
  'kept best, though only 45 % of buds lived, at 25-30 % (Plants 13(24):3590, 2024).'

/** What a nursery starts from. */
export const WOOD_POLICIES: { readonly [K in WoodPolicyKey]: Policy<K> } = {
  viabilityCheckDays: {
    key: 'viabilityCheckDays',
    value: 90,
    unit: 'days',
    source: NO_SOURCE,
    sourceNote: 'Days since cutting, or since buds were last looked at, after which to look again.',
    range: { min: 1, max: 3650, whole: true },
  },
  viabilityLeastShare: {
    key: 'viabilityLeastShare',
    value: 0.8,
    unit: 'share',
    source: NO_SOURCE,
    sourceNote:
      'A dead bud cannot take: below this share the 80 % take that IFV Occitanie calls ' +
      'sufficient is out of reach. No published limit for buds in store was found.',
    range: { min: 0, max: 1, whole: false },
  },
  moistureLeastShare: {
    key: 'moistureLeastShare',
    value: 0.342,
    unit: 'share',
    source: 'Journal of the American Pomological Society 70(1), 2016, on dormant grafted vines',
    sourceNote:
      'Of fresh weight: 0.52 g of water for a gram of dry wood (0.52 / 1.52), where 95 % of ' +
      'vines lived.',
    disagreement: DRY_DISAGREEMENT,
    range: { min: 0, max: 0.9, whole: false },
  },
  waterLossMaxShare: {
    key: 'waterLossMaxShare',
    value: 0.2,
    unit: 'share',
    source: 'a popular book on vines (in Russian), bibliboba.online',
    sourceNote:
      'Of the water in the wood when it was cut, not of its weight: beyond it, soaking is said ' +
      'not to bring a cutting back. Widely repeated; no study was found.',
    range: { min: 0.01, max: 1, whole: false },
  },
  referenceVpdKPa: {
    key: 'referenceVpdKPa',
    value: 1,
    unit: 'kPa',
    source: NO_SOURCE,
    sourceNote:
      'The drying power of air for which the hours out of water are meant. In air that dries ' +
      'more strongly they shrink in proportion; in damper air they do not grow. For scale: ' +
      '25 °C at 50 % humidity is 1.58 kPa, 35 °C at 20 % is 4.50 kPa (FAO-56, equation 11).',
    range: { min: 0.05, max: 10, whole: false },
  },
  bathSticksPerLitre: {
    key: 'bathSticksPerLitre',
    value: 2,
    unit: 'sticks',
    source: NO_SOURCE,
    sourceNote: 'Sticks for each litre of a bath, so that water stands around every stick.',
    range: { min: 0.1, max: 50, whole: false },
  },
  handoverAcceptHours: {
    key: 'handoverAcceptHours',
    value: 24,
    unit: 'hours',
    source: NO_SOURCE,
    sourceNote: 'Hours within which whoever is handed wood says so, and how much they counted.',
    range: { min: 0, max: 720, whole: false },
  },
  balanceToleranceShare: {
    key: 'balanceToleranceShare',
    value: 0,
    unit: 'share',
    source: NO_SOURCE,
    sourceNote:
      'Of what came in: how much of a lot may have gone out more than there was before the ' +
      'audit of custody says that it does not add up. Findings tell of every stick all the same.',
    range: { min: 0, max: 1, whole: false },
  },
}
