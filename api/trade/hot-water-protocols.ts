// Published hot water protocols for dormant vine wood, one purpose at a time, with their sources.

/** What hot water is used against, or asked for by. */
export const HOT_WATER_PURPOSES = [
  'phylloxera',
  'flavescence dorée',
  'Xylella fastidiosa',
  'import rule of 35 minutes at 50 °C',
  'trunk disease fungi',
  'crown gall (Agrobacterium vitis)',
  'viruses',
] as const
export type HotWaterPurpose = (typeof HOT_WATER_PURPOSES)[number]

/** A temperature in °C to be held, or exceeded, for unbroken minutes. */
export interface HotWaterStep {
  readonly tempC: number
  readonly minutes: number
}

export interface HotWaterProtocol {
  /** Any one of them is enough; none where no treatment works. */
  readonly steps: readonly HotWaterStep[]
  /** `reduced` where heat lowers an agent in wood and does not remove it. */
  readonly bestOutcome: 'met' | 'reduced'
  readonly source: string
  /** What keeping the protocol does, and does not, show. */
  readonly meaning: string
  readonly disagreement?: string
}

const FUNGI_FIGURES =
  'After 50 °C for 30 minutes 55 % and 100 % of pieces were still infected by two ' +
  'Botryosphaeriaceae, natural infection fell from 35 % to 0-15 %; 51 °C for 30 minutes did not ' +
  'eliminate Petri disease fungi.'

/** Each purpose's protocol. Local plant-health law comes before any of them. */
export const HOT_WATER_PROTOCOLS: Readonly<Record<HotWaterPurpose, HotWaterProtocol>> = {
  phylloxera: {
    steps: [
      { tempC: 45, minutes: 30 },
      { tempC: 50, minutes: 5 },
    ],
    bestOutcome: 'met',
    source: 'Clarke et al., phylloxera hot water trials, dialnet.unirioja.es 7235638',
    meaning:
      'Every first instar of six strains and every G4 stage died in the trials. Movement rules ' +
      'of your area may ask for more.',
    disagreement:
      'The abstract writes "above 50 °C" for the 5 minutes; 50 °C was the step that was tested.',
  },
  'flavescence dorée': {
    steps: [{ tempC: 50, minutes: 45 }],
    bestOutcome: 'met',
    source: 'EPPO PM 10/18(1), 2012; Directive 2000/29/EC Annex IV.B.32: 45 minutes at 50 °C',
    meaning: 'The treatment asked for was kept. Whether wood may move is for the authority to say.',
    disagreement: 'In 2017 France put forward 35 minutes at 50 °C as enough, with less delay.',
  },
  'Xylella fastidiosa': {
    steps: [{ tempC: 50, minutes: 45 }],
    bestOutcome: 'met',
    source: 'EFSA Journal 2015, doi 10.2903/j.efsa.2015.4225: reliable on dormant Vitis',
    meaning: 'The treatment asked for was kept. Whether wood may move is for the authority to say.',
  },
  'import rule of 35 minutes at 50 °C': {
    steps: [{ tempC: 50, minutes: 35 }],
    bestOutcome: 'met',
    source: 'Good Fruit Grower, Vines in hot water: asked by Canada of European vines from 2006',
    meaning: 'The time and temperature were kept. Ask whether the rule still stands.',
  },
  'trunk disease fungi': {
    steps: [{ tempC: 50, minutes: 30 }],
    bestOutcome: 'reduced',
    source:
      'Waite & Morton 2007 (50 °C, 30 minutes); Billones-Baaijens et al., Phytopathologia ' +
      'Mediterranea 54, 2015; Rooney & Gubler 2001',
    meaning: `Fungi in the wood are fewer, and may still be there. ${FUNGI_FIGURES}`,
    disagreement:
      'In New Zealand 50 °C for 30 minutes lost about 80 % of vines in the first trials; ' +
      'protocols there are adapted by variety.',
  },
  'crown gall (Agrobacterium vitis)': {
    steps: [{ tempC: 50, minutes: 30 }],
    bestOutcome: 'reduced',
    source: 'Effect of heat treatments on bud mortality and survival of Agrobacterium vitis, AJEV',
    meaning:
      'Every treatment tried lowered the bacteria in wood and none removed them. The time for a ' +
      'tenfold reduction in broth (about 2.5 minutes at 50 °C) promises more than wood keeps.',
    disagreement:
      'Papers of the 1990s called it eradicated (Bazzi et al., Vitis 30, 1991); later ones ' +
      'did not.',
  },
  viruses: {
    steps: [],
    bestOutcome: 'reduced',
    source: 'common practice, no source: no published treatment was found that removes one',
    meaning: 'Hot water does nothing against leafroll, red blotch, fanleaf and other viruses.',
  },
}
