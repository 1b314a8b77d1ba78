// How each health agent of the vine travels, so that a hold or a recall follows only its routes.

/** Ways from one piece of wood to another. Every agent travels by grafting. */
export const ROUTES = ['graft', 'blade', 'water', 'place'] as const
export type Route = (typeof ROUTES)[number]

/** How sure a route is. `unknown` counts as a route until somebody has shown that it is none. */
export type RouteEvidence = 'shown' | 'plausible' | 'unknown' | 'none'

/** One agent, or several that travel alike. */
export interface HealthAgent {
  /** The name to choose and to print. */
  readonly name: string
  /** Other names that mean it; compared without case, spaces and marks. */
  readonly alsoCalled: readonly string[]
  readonly routes: Readonly<Record<Route, RouteEvidence>>
  readonly source: string
}

/**
 * The routes by which an agent travels. An agent that is not in the list, or none at all, travels
 * by every route: what is not known is not taken for harmless.
 */
export function routesOf(agent: string | null): ReadonlySet<Route> {
  const known = agent === null ? null : findAgent(agent)
  if (known === null) return new Set(ROUTES)
  return new Set(ROUTES.filter((route) => known.routes[route] !== 'none'))
}

/** The agent that a name means, or null when the list does not know it. */
export function findAgent(name: string): HealthAgent | null {
  const wanted = plain(name)
  return (
    HEALTH_AGENTS.find((agent) =>
      [agent.name, ...agent.alsoCalled].some((known) => plain(known) === wanted),
    ) ?? null
  )
}

const routes = (
  blade: RouteEvidence,
  water: RouteEvidence,
  place: RouteEvidence = 'none',
): Readonly<Record<Route, RouteEvidence>> => ({ graft: 'shown', blade, water, place })

const VIRUS_TOOLS =
  'Vinehealth Australia 2021: most viruses do not move on pruning equipment or by touch'

/** The agents this program knows; other names may be written and then count as all routes. */
export const HEALTH_AGENTS: readonly HealthAgent[] = [
  {
    name: 'leafroll viruses (GLRaV-1, -2, -3, -4)',
    alsoCalled: ['leafroll', 'grapevine leafroll', 'GLRaV', 'GLRaV-1', 'GLRaV-2', 'GLRaV-3']
      .concat(['GLRaV-4', 'grapevine leafroll-associated virus'])
      .concat([1, 2, 3, 4].map((nr) => `grapevine leafroll-associated virus ${nr}`)),
    routes: routes('none', 'none'),
    source: `UCCE (Bettiga) 2015/2018; Herrbach et al. 2017; ${VIRUS_TOOLS}`,
  },
  {
    name: 'red blotch virus (GRBV)',
    alsoCalled: ['GRBV', 'red blotch', 'grapevine red blotch virus'],
    routes: routes('none', 'none'),
    source: 'EPPO Global Database, GRBAV0; Cieniewicz et al. 2018',
  },
  {
    name: 'fanleaf virus (GFLV)',
    alsoCalled: ['GFLV', 'fanleaf', 'grapevine fanleaf virus'],
    routes: routes('none', 'none'),
    source: `DPV 385, 2001; ${VIRUS_TOOLS}`,
  },
  {
    name: 'Arabis mosaic virus (ArMV)',
    alsoCalled: ['ArMV', 'Arabis mosaic virus'],
    routes: routes('none', 'none'),
    source: VIRUS_TOOLS,
  },
  {
    name: 'tomato ringspot virus (ToRSV)',
    alsoCalled: ['ToRSV', 'TRSV', 'tomato ringspot virus', 'tobacco ringspot virus'],
    routes: routes('none', 'none'),
    source: 'EPPO Global Database, TORSV0; Gilmer et al., Phytopathology 60:619, 1970',
  },
  {
    name: 'vitiviruses (GVA, GVB)',
    alsoCalled: ['GVA', 'GVB', 'grapevine virus A', 'grapevine virus B'],
    routes: routes('none', 'none'),
    source: VIRUS_TOOLS,
  },
  {
    name: 'fleck virus (GFkV)',
    alsoCalled: ['GFkV', 'fleck', 'grapevine fleck virus'],
    routes: routes('none', 'none'),
    source: VIRUS_TOOLS,
  },
  {
    name: 'rupestris stem pitting virus (GRSPaV)',
    alsoCalled: ['GRSPaV', 'rupestris stem pitting-associated virus'],
    routes: routes('none', 'none'),
    source: `Rowhani et al., in Grapevine Viruses, 2017; ${VIRUS_TOOLS}`,
  },
  {
    name: 'viroids',
    alsoCalled: ['viroid', 'HSVd', 'GYSVd', 'GYSVd-1', 'GYSVd-2', 'hop stunt viroid'].concat([
      'grapevine yellow speckle viroid',
      'AGVd',
      'CEVd',
    ]),
    routes: routes('shown', 'unknown'),
    source: 'Ling 2017: viroids move on blades and hands; shared tanks were not studied',
  },
  {
    name: 'Xylella fastidiosa',
    alsoCalled: ['Xylella', "Pierce's disease", 'Pierce disease'],
    routes: routes('shown', 'unknown'),
    source: 'EPPO: 1 of 21 transmissions by shears; shared tanks were not studied',
  },
  {
    name: 'crown gall (Agrobacterium vitis)',
    alsoCalled: [
      'crown gall',
      'Agrobacterium',
      'Agrobacterium vitis',
      'Allorhizobium vitis',
    ].concat(['Agrobacterium tumefaciens']),
    routes: routes('plausible', 'plausible'),
    source: 'Yakabe 2012 (blades, A. tumefaciens); Waite et al. 2013 (bacteria in soak water)',
  },
  {
    name: 'bacterial blight (Xylophilus ampelinus)',
    alsoCalled: ['Xylophilus ampelinus', 'bacterial blight'],
    routes: routes('unknown', 'plausible'),
    source: 'Waite et al. 2013 (bacteria in soak water); blades were not studied',
  },
  {
    name: 'flavescence dorée',
    alsoCalled: ['flavescence doree', 'flavescence dorée phytoplasma', 'FD'],
    routes: routes('none', 'none'),
    source: 'EPPO Global Database, PHYP64; spread by Scaphoideus titanus and by planting material',
  },
  {
    name: 'bois noir (Candidatus Phytoplasma solani)',
    alsoCalled: ['bois noir', 'Candidatus Phytoplasma solani', 'Ca. P. solani', 'stolbur'],
    routes: routes('none', 'none'),
    source: 'EU list of regulated non-quarantine pests; from memory: no spread by tools or water',
  },
  {
    name: 'trunk disease fungi',
    alsoCalled: ['Petri disease', 'esca', 'Botryosphaeria', 'black foot', 'black-foot'].concat([
      'Phaeomoniella',
      'Phaeoacremonium',
      'Ilyonectria',
      'trunk disease',
    ]),
    routes: routes('shown', 'shown'),
    source: 'Waite et al. 2013 (soak water within 1 h); Agustí-Brisach et al. 2015 (shears)',
  },
  {
    name: 'grey mould and other storage moulds',
    alsoCalled: ['mould', 'mold', 'Botrytis', 'Botrytis cinerea', 'grey mould', 'storage mould'],
    routes: routes('plausible', 'plausible', 'shown'),
    source: 'common practice, no source',
  },
  {
    name: 'phylloxera',
    alsoCalled: ['Daktulosphaira vitifoliae'],
    routes: routes('shown', 'unknown', 'plausible'),
    source: 'Agriculture Victoria: first instars carried on footwear and hand tools',
  },
]

function plain(name: string): string {
  return name
    .normalize('NFD')
    .toLowerCase()
    .replace(/[^a-z0-9]/g, '')
}
