// Hot water judged against published protocols, purpose by purpose: met, reduced, or not met.
import { HOT_WATER_PROTOCOLS } from './hot-water-protocols.ts'
import type { HotWaterPurpose, HotWaterProtocol, HotWaterStep } from './hot-water-protocols.ts'

/** How hot the water was at one moment of the treatment. */
export interface CurveReading {
  /** Minutes since the wood went in. */
  readonly minute: number
  readonly tempC: number
}

/** A treatment as it was recorded, or only as the tank was set. */
export type HotWaterRun =
  | { readonly by: 'curve'; readonly readings: readonly CurveReading[] }
  | { readonly by: 'set point'; readonly tempC: number; readonly minutes: number }

/**
 * `met`: the published protocol was kept. `reduced`: it was kept, and heat only reduces this agent
 * in wood, so it may still be there. `not met`: too cool or too short. `no effect`: no published
 * hot water treatment removes this.
 */
export type HotWaterOutcome = 'met' | 'reduced' | 'not met' | 'no effect'

/** The outcome for one purpose. Nothing here says that wood is free of anything. */
export interface HotWaterResult {
  readonly purpose: HotWaterPurpose
  readonly outcome: HotWaterOutcome
  readonly protocol: HotWaterProtocol
  /** The step that was kept, or else the one that came nearest in time; null without steps. */
  readonly step: HotWaterStep | null
  /** Longest unbroken minutes at or above that step's temperature. */
  readonly heldMinutes: number
}

/**
 * How far below a protocol's temperature a reading still counts, in °C: what treatment machines
 * are said to hold (Italian technical note on flavescence dorée, 2016).
 */
export const HOT_WATER_TOLERANCE_C = 0.1
/** Readings further apart than this tell nothing of the time between them, in minutes. */
export const CURVE_GAP_MINUTES = 5

/** Judges one treatment for one purpose. The protocols are in hot-water-protocols.ts. */
export function judgeHotWater(
  run: HotWaterRun,
  purpose: HotWaterPurpose,
  toleranceC = HOT_WATER_TOLERANCE_C,
): HotWaterResult {
  const protocol = HOT_WATER_PROTOCOLS[purpose]
  const tried = protocol.steps.map((step) => {
    const heldMinutes = longestAtOrAbove(run, step.tempC - toleranceC)
    // Time is added up in parts of minutes: a rounding slip must not fail a treatment.
    return { step, heldMinutes, kept: heldMinutes + 1e-6 >= step.minutes }
  })
  const share = (one: (typeof tried)[number]): number => one.heldMinutes / one.step.minutes
  const best =
    tried.find((one) => one.kept) ?? [...tried].sort((a, b) => share(b) - share(a))[0] ?? null
  return {
    purpose,
    outcome: best === null ? 'no effect' : best.kept ? protocol.bestOutcome : 'not met',
    protocol,
    step: best?.step ?? null,
    heldMinutes: best?.heldMinutes ?? 0,
  }
}

/**
 * The longest unbroken time at or above a temperature, in minutes. Between two readings the
 * temperature is taken to run straight; a gap longer than CURVE_GAP_MINUTES breaks the time. A set
 * point counts as held from beginning to end, which nobody measured.
 *
 * @throws RangeError when readings are not in order of time, or a number is none
 */
export function longestAtOrAbove(run: HotWaterRun, tempC: number): number {
  if (run.by === 'set point') return run.tempC >= tempC ? Math.max(0, run.minutes) : 0
  assertInOrder(run.readings)
  let longest = 0
  let held = 0
  for (const [index, to] of run.readings.entries()) {
    const from = run.readings[index - 1]
    if (from === undefined || to.minute - from.minute > CURVE_GAP_MINUTES) {
      held = 0
      continue
    }
    const stretch = partAtOrAbove(from, to, tempC)
    held = from.tempC >= tempC ? held + stretch : stretch
    longest = Math.max(longest, held)
    if (to.tempC < tempC) held = 0
  }
  return longest
}

/** What heat did, or may have done, to the buds themselves. */
export type HeatCare = 'buds may be killed' | 'harm varies by variety' | 'fan and drain at once'

/**
 * Cautions for the wood: 53 °C for 30 minutes killed buds (Billones-Baaijens et al., 2015); 50 °C
 * for 90 and 55 °C for 30 minutes varied by cultivar, and 50 °C for 60 did not harm (AJEV paper on
 * heat and Agrobacterium vitis); sealing wet wood up suffocates it (Charles Sturt University).
 */
export function heatCares(run: HotWaterRun): readonly HeatCare[] {
  const cares: HeatCare[] = []
  if (longestAtOrAbove(run, 53) >= 30) cares.push('buds may be killed')
  else if (longestAtOrAbove(run, 50) > 60) cares.push('harm varies by variety')
  cares.push('fan and drain at once')
  return cares
}

/** Minutes of the stretch between two readings at or above the temperature. */
function partAtOrAbove(from: CurveReading, to: CurveReading, tempC: number): number {
  const minutes = to.minute - from.minute
  const isHot = [from.tempC >= tempC, to.tempC >= tempC]
  if (isHot[0] && isHot[1]) return minutes
  if (!isHot[0] && !isHot[1]) return 0
  const crossing = (tempC - from.tempC) / (to.tempC - from.tempC)
  return minutes * (isHot[0] ? crossing : 1 - crossing)
}

function assertInOrder(readings: readonly CurveReading[]): void {
  for (const [index, reading] of readings.entries()) {
    if (!Number.isFinite(reading.minute) || !Number.isFinite(reading.tempC)) {
      throw new RangeError(`reading ${index + 1} is not a minute and a temperature`)
    }
    const before = readings[index - 1]
    if (before !== undefined && reading.minute <= before.minute) {
      throw new RangeError(`reading ${index + 1} is not later than the one before it`)
    }
  }
}
