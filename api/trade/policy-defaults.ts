// The default policies: published figures with their source, or 'common practice, no source'.
import { CLIMATE_POLICIES } from './climate-policies.ts'
import type { Policies } from './policies.ts'
import { DEFECTIVE_LIMIT_PERCENT } from './technical-purity.ts'
import { WOOD_POLICIES } from './wood-policies.ts'

const NO_SOURCE = 'common practice, no source'

const STORAGE_SOURCE =
  'International Journal of Sustainable Agricultural Research 5(3):46-53, 2018, ' +
  'doi 10.18488/journal.70.2018.53.46.53'

const STORAGE_DISAGREEMENT =
  'A practical page on bench grafting gives about 1 month for one-eye scions at 2-4 °C and ' +
  '80 % humidity; moist sand outdoors is called fit for a few months only.'

const SOAK_SOURCE = 'WineSkills (Plumpton College), Grafting: 24-48 h'

const SOAK_DISAGREEMENT =
  'The trade gives 24-48 h (WineSkills). Wine Australia (reliable hot water treatments) names ' +
  'more than 8 h before hot water as over-hydration that can hurt performance, and Waite & ' +
  'Morton (Phytopathologia Mediterranea) advise not to soak at all: soak water carries microbes ' +
  'within the first hour. Set the least hours to 0 where wood is not soaked.'

const OUT_OF_WATER_NOTE =
  'No published limit from soak to graft was found. Custom: graft the same day; hold drained ' +
  'and cold no more than 2-3 days.'

/** The policies a nursery starts from. */
export const DEFAULT_POLICIES: Policies = {
  storageCautionDays: {
    key: 'storageCautionDays',
    value: 182,
    unit: 'days',
    source: STORAGE_SOURCE,
    sourceNote: 'Cuttings at 1 °C and 80-90 % humidity were usable when sampled at 6 months.',
    disagreement: STORAGE_DISAGREEMENT,
    range: { min: 0, max: 3650, whole: true },
  },
  storageStopDays: {
    key: 'storageStopDays',
    value: 243,
    unit: 'days',
    source: STORAGE_SOURCE,
    sourceNote: 'Usable at the last sampling, 8 months; nothing published beyond it.',
    disagreement: STORAGE_DISAGREEMENT,
    range: { min: 1, max: 3650, whole: true },
  },
  vineStorageStopDays: {
    key: 'vineStorageStopDays',
    value: 548,
    unit: 'days',
    source: 'La vite, Coltura & Cultura: grafted and rooted vines at 2 °C, about 100 % humidity',
    sourceNote: 'Several months, at most 18 months (18 x 30.4 days).',
    range: { min: 1, max: 3650, whole: true },
  },
  storeUnrecordedMaxHours: {
    key: 'storeUnrecordedMaxHours',
    value: 24,
    unit: 'hours',
    source: NO_SOURCE,
    sourceNote: 'Hours, summed since cutting, for which no record says where the wood lay.',
    range: { min: 0, max: 8760, whole: false },
  },
  ...CLIMATE_POLICIES,
  soakMinHours: {
    key: 'soakMinHours',
    value: 24,
    unit: 'hours',
    source: SOAK_SOURCE,
    sourceNote: 'Soaking before grafting makes the wood less brittle.',
    disagreement: SOAK_DISAGREEMENT,
    range: { min: 0, max: 240, whole: false },
  },
  soakMaxHours: {
    key: 'soakMaxHours',
    value: 48,
    unit: 'hours',
    source: SOAK_SOURCE,
    sourceNote: 'Upper end of the trade range.',
    disagreement: SOAK_DISAGREEMENT,
    range: { min: 0, max: 240, whole: false },
  },
  outOfWaterCautionHours: {
    key: 'outOfWaterCautionHours',
    value: 24,
    unit: 'hours',
    source: NO_SOURCE,
    sourceNote: `${OUT_OF_WATER_NOTE} Counted outside cooled places.`,
    range: { min: 0, max: 240, whole: false },
  },
  outOfWaterMaxHours: {
    key: 'outOfWaterMaxHours',
    value: 72,
    unit: 'hours',
    source: NO_SOURCE,
    sourceNote: `${OUT_OF_WATER_NOTE} Counted outside cooled places.`,
    range: { min: 0, max: 240, whole: false },
  },
  ...WOOD_POLICIES,
  contactHoldStops: {
    key: 'contactHoldStops',
    value: true,
    unit: 'yes or no',
    source: NO_SOURCE,
    sourceNote:
      'Wood that shared water, a blade or a place with held wood, by a route of the held agent, ' +
      'is stopped until someone decides. No gives caution instead; never ready.',
  },
  holdReleaseNeedsTwo: {
    key: 'holdReleaseNeedsTwo',
    value: true,
    unit: 'yes or no',
    source: NO_SOURCE,
    sourceNote:
      'A hold is lifted when a second person agrees with the one who asks. No lets one person ' +
      'lift it alone.',
  },
  takeInsufficientShare: {
    key: 'takeInsufficientShare',
    value: 0.8,
    unit: 'share',
    source: 'IFV Occitanie, Le surgreffage de la vigne',
    sourceNote: 'Take below 80 % is called insufficient.',
    range: { min: 0, max: 1, whole: false },
  },
  purityMaxDefectiveShare: {
    key: 'purityMaxDefectiveShare',
    value: DEFECTIVE_LIMIT_PERCENT / 100,
    unit: 'share',
    source: 'Rebenpflanzgutverordnung 1986 Anlage 2 § 1.2; French arrêté on vine material',
    sourceNote:
      'At least 96 % by count; exactly 4 % passes. Wood that dried out counts as defective even ' +
      'when it was soaked afterwards.',
    range: { min: 0, max: 1, whole: false },
  },
  classLadder: {
    key: 'classLadder',
    value: [
      {
        scheme: 'EU',
        classes: ['initial', 'base', 'certified', 'standard'],
        source: 'Directive 68/193/EEC categories, as in D.Lgs. 16/2021 art. 31',
      },
      {
        scheme: 'generation',
        classes: ['G1', 'G2', 'G3', 'G4'],
        source: 'OAR 603-051-0856 and WAC 16-462: G2 from G1, G3 from G1/G2, G4 from G1-G3',
      },
    ],
    unit: 'ordered classes',
    source: 'the scheme named with each ladder',
    sourceNote: 'Strictest class first. Add the schemes your programme uses.',
  },
  snapshotStaleHours: {
    key: 'snapshotStaleHours',
    value: 24,
    unit: 'hours',
    source: NO_SOURCE,
    sourceNote: 'A phone that has not fetched the records for a working day may miss a hold.',
    range: { min: 0, max: 720, whole: false },
  },
  clockToleranceMinutes: {
    key: 'clockToleranceMinutes',
    value: 5,
    unit: 'minutes',
    source: NO_SOURCE,
    sourceNote: 'How far clocks may differ before a time is doubted.',
    range: { min: 0, max: 1440, whole: false },
  },
  fieldOverageShare: {
    key: 'fieldOverageShare',
    value: 0.5,
    unit: 'share',
    source: 'The Crush (California Association of Winegrape Growers), December 2019',
    sourceNote: 'Order half as many buds again: not all buds on a stick suit field grafting.',
    disagreement:
      'eXtension Grapes gives 10 % for rooting cuttings; a rose society sends 8 buds for 5 ' +
      'plants (60 %) for budding.',
    range: { min: 0, max: 5, whole: false },
  },
  budsPerVine: {
    key: 'budsPerVine',
    value: 2,
    unit: 'buds',
    source: 'Good Fruit Grower, field grafting: two budwood pieces on a trunk',
    sourceNote: 'Two scions on a trunk are customary; a Swiss collection set 1-2.',
    range: { min: 1, max: 20, whole: true },
  },
  usableBudsPerStick: {
    key: 'usableBudsPerStick',
    value: 5,
    unit: 'buds',
    source: 'Rebenpflanzgutverordnung 1986 Anlage 3: at least 5 usable eyes',
    sourceNote: 'The legal least for a scion stick; longer canes carry 7 and more.',
    range: { min: 1, max: 30, whole: true },
  },
  scionPackageSticks: {
    key: 'scionPackageSticks',
    value: 200,
    unit: 'sticks',
    source: 'Rebenpflanzgutverordnung 1986 Anlage 3: 100 or 200 sticks, at most 200',
    sourceNote: 'For scion wood with at least 5 usable eyes; small quantities may go below.',
    range: { min: 1, max: 200, whole: true },
  },
}
