// The faults that frames are given, one at a time, from slight to hopeless.
import { UNWORN } from './wear.ts'
import type { Wear } from './wear.ts'

/** Everything about how one sequence of frames is taken; jitter comes on top, frame by frame. */
export interface Conditions {
  readonly pxPerModule: number
  readonly tiltDegrees: number
  /** Diameter of the bundle that the tag lies round; null for a tag lying flat. */
  readonly bundleDiameterMm: number | null
  /** Radius of the circle that a point becomes, in modules. */
  readonly defocusModules: number
  /** Way that the picture moves while the shutter is open, in modules. */
  readonly motionModules: number
  readonly black: number
  readonly white: number
  /** Share of the light that a shadow over part of the tag takes. */
  readonly shadow: number
  /** Light that a reflection adds in its middle, and its radius in symbol sides. */
  readonly glare: number
  readonly glareSides: number
  readonly noise: number
  readonly wear: Wear
  /** Size of a second tag beside the first, as a share of the first; zero for none. */
  readonly neighbour: number
}

/** A steady hand, a clean tag, even light. */
export const CLEAN: Conditions = {
  pxPerModule: 3.6,
  tiltDegrees: 6,
  bundleDiameterMm: null,
  defocusModules: 0.15,
  motionModules: 0,
  black: 45,
  white: 205,
  shadow: 0,
  glare: 0,
  glareSides: 0.5,
  noise: 4,
  wear: UNWORN,
  neighbour: 0,
}

type Change = Partial<Omit<Conditions, 'wear'>> & { readonly wear?: Partial<Wear> }

/** Each fault by name, with what each level changes; level 1 comes first. */
const CHANGES = {
  resolution: [2.2, 1.8, 1.5, 1.3, 1.15].map((pxPerModule) => ({ pxPerModule })),
  tilt: [40, 50, 58, 64, 69].map((tiltDegrees) => ({ tiltDegrees })),
  curve: [50, 36, 28, 23, 19].map((bundleDiameterMm) => ({ bundleDiameterMm })),
  defocus: [0.6, 0.8, 1, 1.2, 1.45].map((defocusModules) => ({ defocusModules })),
  motion: [0.5, 0.7, 0.9, 1.1, 1.4].map((motionModules) => ({ motionModules })),
  contrast: [24, 16, 11, 7, 4.5].map((half) => ({ black: 120 - half, white: 120 + half })),
  shadow: [0.6, 0.75, 0.85, 0.91, 0.95].map((shadow) => ({ shadow })),
  glare: [0.4, 0.7, 1, 1.4, 1.9].map((glareSides) => ({ glare: 330, glareSides })),
  noise: [20, 32, 45, 60, 80].map((noise) => ({ noise })),
  mud: [0.03, 0.07, 0.11, 0.15, 0.2].map((mud) => ({ wear: { mud } })),
  scratches: [1, 2, 3, 5, 7].map((scratches) => ({ wear: { scratches } })),
  tears: [0.15, 0.25, 0.32, 0.38, 0.45].map((tear) => ({ wear: { tear } })),
  ink: [0.05, 0.1, 0.17, 0.25, 0.35].map((inkLost) => ({ wear: { inkLost } })),
  inversion: [3.6, 2.4, 1.9, 1.6, 1.35].map((pxPerModule) => ({
    pxPerModule,
    wear: { inverted: true },
  })),
  neighbour: [1, 0.8, 0.6, 0.5, 0.4].map((neighbour) => ({ neighbour })),
  several: [0.2, 0.35, 0.5, 0.65, 0.8].map((much) => ({
    pxPerModule: 3.6 - 1.6 * much,
    tiltDegrees: 40 * much,
    defocusModules: 0.15 + 0.4 * much,
    motionModules: 0.7 * much,
    white: 205 - 90 * much,
    shadow: 0.6 * much,
    noise: 4 + 12 * much,
    wear: { mud: 0.05 * much, scratches: Math.round(2 * much), inkLost: 0.1 * much },
  })),
} satisfies Record<string, readonly Change[]>

export type Fault = keyof typeof CHANGES
export const FAULTS = Object.keys(CHANGES) as Fault[]
export const LEVELS = 5

/** @param level 1 to LEVELS; 0 for none of the fault */
export function conditionsOf(fault: Fault, level: number): Conditions {
  if (level === 0) return CLEAN
  const change: Change | undefined = CHANGES[fault][level - 1]
  if (change === undefined) throw new RangeError(`no level ${level} of ${fault}`)
  return { ...CLEAN, ...change, wear: { ...UNWORN, ...change.wear } }
}
