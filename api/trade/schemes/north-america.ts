// The schemes of California, Washington, Oregon and Canada, as far as their texts were read.
import { FOOT_METRES } from './scheme-shape.ts'
import type { Scheme } from './scheme-shape.ts'

const generations = { G2: ['G1'], G3: ['G1', 'G2'], G4: ['G1', 'G2', 'G3'] }

export const CALIFORNIA: Scheme = {
  id: 'california',
  name: 'California Grapevine Registration and Certification',
  alsoCalled: ['California', 'California R&C', 'CA R&C', 'CDFA', '3 CCR 3024'],
  classes: ['foundation', 'primary increase', 'secondary increase', 'certified'],
  classesFrom: { citation: '3 CCR § 3024.2, § 3024.8', known: 'confirmed' },
  rules: [
    {
      id: 'california.retest',
      topic: 'retest',
      words: 'How often the vines of each kind of block are tested',
      citation: '3 CCR § 3024.5',
      known: 'not found',
      check: null,
    },
    {
      id: 'california.inspection',
      topic: 'inspection',
      words: 'Increase blocks and nursery plantings are inspected by eye, in spring and fall',
      citation: '3 CCR § 3024.5',
      known: 'from memory',
      check: null,
    },
    {
      id: 'california.notice.increase',
      topic: 'notice',
      words:
        'A new application is due within 6 months of adding or topworking vines in a primary or ' +
        'secondary increase block',
      citation: '3 CCR § 3024.8(a)(2)',
      known: 'confirmed',
      check: { kind: 'notice', withinMonths: 6 },
    },
    {
      id: 'california.notice.planting',
      topic: 'notice',
      words: 'A new application is due within 2 months of adding vines to a nursery planting',
      citation: '3 CCR § 3024.8(a)(3)',
      known: 'confirmed',
      check: null,
    },
    {
      id: 'california.notice.yearly',
      topic: 'notice',
      words:
        'Registration is applied for every year and for each site; a site is approved in writing ' +
        'before it is planted',
      citation: '3 CCR § 3024.8(a)',
      known: 'confirmed',
      check: null,
    },
    {
      id: 'california.records.foundation',
      topic: 'records',
      words:
        'A foundation block keeps an inventory of every registered vine, the place and reason of ' +
        'every vine removed, and its tests and inspections',
      citation: '3 CCR § 3024.2(a)(7)–(10)',
      known: 'confirmed',
      check: null,
    },
    {
      id: 'california.retention',
      topic: 'records',
      words: 'How many years records are kept; colours of tags; tolerances',
      citation: '3 CCR Art. 5',
      known: 'not found',
      check: null,
    },
  ],
}

export const WASHINGTON: Scheme = {
  id: 'washington',
  name: 'Washington grape planting stock',
  alsoCalled: ['Washington', 'WSDA', 'WAC 16-462', 'Washington State'],
  classes: ['G1', 'G2', 'G3', 'G4'],
  classesFrom: { citation: 'WAC 16-462', known: 'confirmed' },
  rules: [
    {
      id: 'washington.lineage',
      topic: 'lineage',
      words:
        'G2 grows from a G1 directly; G3 from G2 within the block, or elsewhere with written ' +
        'permission; G4 from G1, G2 or G3',
      citation: 'WAC 16-462-021, 16-462-022',
      known: 'confirmed',
      check: {
        kind: 'lineage',
        from: { G2: ['G1'], G3: ['G1'], G4: ['G1', 'G2', 'G3'] },
        onConditions: { G3: ['G2'] },
      },
    },
    {
      id: 'washington.retest',
      topic: 'retest',
      words: 'Registered G2 and G3 vines are tested on a 5-year rotation; symptoms, at once',
      citation: 'WAC 16-462-027',
      known: 'confirmed',
      check: { kind: 'retest', everyMonths: 60, classes: ['G2', 'G3'], agents: null },
    },
    {
      id: 'washington.inspection',
      topic: 'inspection',
      words: 'G4 stock is inspected twice a year',
      citation: 'WSR 20-17-144 (2020; three times before)',
      known: 'confirmed',
      check: { kind: 'inspections', perYear: 2, classes: ['G4'] },
    },
    {
      id: 'washington.isolation',
      topic: 'isolation',
      words:
        'G4 stands 10 ft from vines that are not certified on treated land, 20 ft on untreated; ' +
        'the treatment of land is not on record here',
      citation: 'WAC 16-462-022(4)',
      known: 'confirmed',
      check: {
        kind: 'isolation',
        metres: 10 * FOOT_METRES,
        surelyMetres: 20 * FOOT_METRES,
        classes: ['G4'],
      },
    },
    {
      id: 'washington.graft',
      topic: 'graft of two classes',
      words: 'All components of a certified graft are of G1, G2 or G3',
      citation: 'WAC 16-462-022',
      known: 'confirmed',
      check: null,
    },
    {
      id: 'washington.records.identity',
      topic: 'records',
      words: 'A registered vine carries the number of the one foundation vine that it came from',
      citation: 'WAC 16-462-021(1)',
      known: 'confirmed',
      check: null,
    },
    {
      id: 'washington.label',
      topic: 'label',
      words: 'Bundles carry a legible printed label; paper tags of the department are not asked',
      citation: 'WAC 16-462-055 (a 2020 rule proposed to drop it); WSR 20-17-144',
      known: 'confirmed',
      check: null,
    },
    {
      id: 'washington.counts',
      topic: 'counts',
      words: 'At most 5 % by count of a lot may miss its grade',
      citation: 'WAC 16-462-055 (a 2020 rule proposed to drop it)',
      known: 'confirmed',
      check: null,
    },
  ],
}

export const OREGON: Scheme = {
  id: 'oregon',
  name: 'Oregon grapevine certification',
  alsoCalled: ['Oregon', 'ODA', 'OAR 603-051'],
  classes: ['G1', 'G2', 'G3', 'G4'],
  classesFrom: { citation: 'OAR 603-051-0856', known: 'confirmed' },
  rules: [
    {
      id: 'oregon.lineage',
      topic: 'lineage',
      words: 'G2 grows from G1; G3 from G1 or G2; G4, for sale, from G1 to G3',
      citation: 'OAR 603-051-0856',
      known: 'confirmed',
      check: { kind: 'lineage', from: generations },
    },
    {
      id: 'oregon.isolation',
      topic: 'isolation',
      words: 'No uncertified grapes stand within 30 ft of an increase block',
      citation: 'OAR 603-051-0835(2)',
      known: 'confirmed',
      check: {
        kind: 'isolation',
        metres: 30 * FOOT_METRES,
        surelyMetres: 30 * FOOT_METRES,
        classes: null,
      },
    },
    {
      id: 'oregon.isolation.upslope',
      topic: 'isolation',
      words: 'No uncertified grapes stand upslope of an increase block',
      citation: 'OAR 603-051-0835(2)',
      known: 'confirmed',
      check: null,
    },
    {
      id: 'oregon.notice',
      topic: 'notice',
      words:
        'The Department is told before vines are planted, replanted, grafted, budded, pruned or ' +
        'removed',
      citation: 'OAR 603-051-0835(1)',
      known: 'confirmed',
      check: { kind: 'notice before' },
    },
    {
      id: 'oregon.label',
      topic: 'label',
      words: 'A certified tag names variety, interstock and rootstock (nursery stock rule)',
      citation: 'OAR 603-051-0858(4)–(6)',
      known: 'confirmed',
      check: null,
    },
    {
      id: 'oregon.retest',
      topic: 'retest',
      words: 'How often increase blocks are tested',
      citation: 'OAR 603-051-0835 ff.',
      known: 'not found',
      check: null,
    },
  ],
}

/** For a register that writes only “generation”: the model that both states follow. */
export const GENERATIONS: Scheme = {
  id: 'generation',
  name: 'Generations G1 to G4, without a state',
  alsoCalled: ['generations', 'G1-G4', 'NCPN'],
  classes: ['G1', 'G2', 'G3', 'G4'],
  classesFrom: { citation: 'OAR 603-051-0856 and WAC 16-462', known: 'confirmed' },
  rules: [
    {
      id: 'generation.lineage',
      topic: 'lineage',
      words: 'G2 grows from G1; G3 from G1 or G2; G4 from G1 to G3',
      citation: 'OAR 603-051-0856',
      known: 'confirmed',
      check: { kind: 'lineage', from: generations },
    },
    {
      id: 'generation.retest',
      topic: 'retest',
      words: 'How often vines are tested is the state’s to say: write the state as the scheme',
      citation: 'no single text',
      known: 'not found',
      check: null,
    },
  ],
}

export const CANADA: Scheme = {
  id: 'canada',
  name: 'Canadian Grapevine Certification Network, grapevine certification',
  alsoCalled: ['Canada', 'CGCN', 'CGCN-RCCV'],
  classes: ['G1'],
  classesFrom: {
    citation: 'CGCN-RCCV programme of 16 September 2019 (further classes not found)',
    known: 'confirmed',
  },
  rules: [
    {
      id: 'canada.tests',
      topic: 'retest',
      words:
        'Interim verification looks for GLRaV-1, GLRaV-3, red blotch and tomato ringspot; how ' +
        'often was not found',
      citation: 'CGCN-RCCV programme, amended 8 March 2021',
      known: 'not found',
      check: null,
    },
    {
      id: 'canada.records',
      topic: 'records',
      words: 'Export certification is audited: eligibility, isolation, tests, identity, remedies',
      citation: 'CFIA D-97-06; NAPPO RSPM 15 (2002), list of chapters',
      known: 'confirmed',
      check: null,
    },
  ],
}
