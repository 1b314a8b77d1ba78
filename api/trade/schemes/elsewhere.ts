// The schemes of the European Union, Germany, New Zealand and Australia, as far as they were read.
import type { Scheme } from './scheme-shape.ts'

const euClasses = ['initial', 'base', 'certified', 'standard']

const euLabel = {
  topic: 'label',
  words:
    'The official label tells: standard, country, body, producer, species, material, category, ' +
    'variety and clone (of grafts both parts), lot, pieces, length of rootstock cuttings, year',
  known: 'in a transposition',
  check: null,
} as const

export const EUROPEAN_UNION: Scheme = {
  id: 'eu',
  name: 'European Union, vine propagation material',
  alsoCalled: ['EU', 'EC', '68/193/EEC', 'European Union'],
  classes: euClasses,
  classesFrom: {
    citation: 'Directive 68/193/EEC, as in D.Lgs. 16/2021 art. 31',
    known: 'in a transposition',
  },
  rules: [
    {
      id: 'eu.retest',
      topic: 'retest',
      words: 'How often mother vines of each category are tested, and which share of them',
      citation: 'Directive 68/193/EEC Annex I as amended in 2020 (the intervals were not read)',
      known: 'from memory',
      check: null,
    },
    {
      id: 'eu.label',
      ...euLabel,
      citation: 'Directive 68/193/EEC Annex IV, as in RebPflV Anlage 4 and D.Lgs. 16/2021 All. V',
    },
    {
      id: 'eu.label.colours',
      topic: 'label',
      words:
        'Labels are white with a violet stroke (initial), white (base), blue (certified), dark ' +
        'yellow (standard)',
      citation: 'D.Lgs. 16/2021 art. 31',
      known: 'in a transposition',
      check: null,
    },
    {
      id: 'eu.records.labels',
      topic: 'records',
      words: 'Whoever receives the material keeps the official labels for a year at least (Italy)',
      citation: 'D.Lgs. 16/2021',
      known: 'in a transposition',
      check: null,
    },
    {
      id: 'eu.records.passport',
      topic: 'records',
      words: 'How many years the data of plant passports are kept',
      citation: 'Regulation (EU) 2016/2031 art. 69(4)',
      known: 'from memory',
      check: null,
    },
    {
      id: 'eu.records.movements',
      topic: 'records',
      words:
        'Movements within and between own premises can be followed; supplier and customer told',
      citation: 'Regulation (EU) 2016/2031 art. 69(1)–(3), art. 70',
      known: 'confirmed',
      check: null,
    },
    {
      id: 'eu.counts',
      topic: 'counts',
      words: 'Why a plant is missing is recorded for every gap',
      citation: 'Directive (EU) 2020/177, as in RebPflV Anlage 1',
      known: 'in a transposition',
      check: null,
    },
  ],
}

export const GERMANY: Scheme = {
  id: 'germany',
  name: 'Germany, Rebenpflanzgutverordnung',
  alsoCalled: ['Germany', 'DE', 'RebPflV', 'Rebenpflanzgutverordnung'],
  classes: euClasses,
  classesFrom: { citation: 'RebPflV 1986 § 2 and Anlage 4', known: 'in a transposition' },
  rules: [
    {
      id: 'germany.retest.initial',
      topic: 'retest',
      words:
        'Every initial mother vine is tested for GFLV, ArMV, GLRaV-1 and GLRaV-3, again every 5 ' +
        'years; infected plants are removed',
      citation: 'RebPflV Anlage 1, text before December 2020',
      known: 'in a transposition',
      check: {
        kind: 'retest',
        everyMonths: 60,
        classes: ['initial'],
        agents: ['GFLV', 'ArMV', 'GLRaV-1', 'GLRaV-3'],
      },
    },
    {
      id: 'germany.retest.others',
      topic: 'retest',
      words: 'How often mother vines of the other categories are tested',
      citation: 'RebPflV Anlage 1 (the intervals were not read)',
      known: 'from memory',
      check: null,
    },
    {
      id: 'germany.inspection',
      topic: 'inspection',
      words:
        'At least one inspection in each producing year, from 1 August on; potted vines until 31 ' +
        'July',
      citation: 'RebPflV § 7',
      known: 'in a transposition',
      check: { kind: 'inspections', perYear: 1, classes: null },
    },
    {
      id: 'germany.graft',
      topic: 'graft of two classes',
      words: 'The grower shows of which category each grafted part is',
      citation: 'RebPflV § 7',
      known: 'in a transposition',
      check: null,
    },
    { id: 'germany.label', ...euLabel, citation: 'RebPflV Anlage 4, § 17' },
    {
      id: 'germany.counts',
      topic: 'counts',
      words: 'The reason for every missing plant is recorded',
      citation: 'RebPflV Anlage 1',
      known: 'in a transposition',
      check: null,
    },
  ],
}

export const NEW_ZEALAND: Scheme = {
  id: 'new-zealand',
  name: 'New Zealand Grafted Grapevine Standard',
  alsoCalled: ['New Zealand', 'NZ', 'GGS', 'Grafted Grapevine Standard'],
  classes: [],
  classesFrom: { citation: 'version 4.0 of 1 June 2021, Table 1', known: 'not found' },
  rules: [
    {
      id: 'new-zealand.retest',
      topic: 'retest',
      words: 'A source may resume in a later year, at most 5 years after its last test',
      citation: 'Grafted Grapevine Standard, version 4.0 of 1 June 2021',
      known: 'confirmed',
      check: { kind: 'retest', everyMonths: 60, classes: null, agents: null },
    },
    {
      id: 'new-zealand.counts',
      topic: 'counts',
      words: 'At most 2 % of sampled vines may deviate from the physical specification',
      citation: 'Grafted Grapevine Standard, version 4.0 of 1 June 2021',
      known: 'confirmed',
      check: null,
    },
  ],
}

export const AUSTRALIA: Scheme = {
  id: 'australia',
  name: 'Australia, national grapevine standard',
  alsoCalled: ['Australia', 'VINA', 'AS 5588', 'AS 5588-2013'],
  classes: ['certified'],
  classesFrom: { citation: 'VINA scheme: certified bears a blue label', known: 'confirmed' },
  rules: [
    {
      id: 'australia.tests',
      topic: 'retest',
      words:
        'Random samples are tested every year (vinifera: GLRaV-1 and -3); an interval for each ' +
        'source was not found',
      citation: 'VINA scheme',
      known: 'not found',
      check: null,
    },
    {
      id: 'australia.inspection',
      topic: 'inspection',
      words: 'An independent audit of the nursery every year',
      citation: 'VINA scheme',
      known: 'confirmed',
      check: null,
    },
    {
      id: 'australia.lineage',
      topic: 'lineage',
      words: 'Certified vines come of source blocks of generation 1 or 2, traced to the supplier',
      citation: 'VINA scheme',
      known: 'confirmed',
      check: {
        kind: 'lineage',
        from: { certified: ['generation 1', 'generation 2', 'G1', 'G2'] },
      },
    },
  ],
}
