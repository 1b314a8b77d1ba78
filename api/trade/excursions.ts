// Stretches in which a room was warmer or colder than wood should have it.
import type { ClimateRules, Reading } from './climate-sums.ts'
import { MS_PER_MINUTE } from './intervals.ts'

/** One stretch beyond a limit; times in epoch milliseconds, the peak its most extreme reading. */
export interface Excursion {
  readonly kind: 'warm' | 'cold'
  readonly beganAt: number
  readonly endedAt: number
  readonly peakTempC: number
}

/**
 * The excursions between `from` and `to`, in order of time: above the waking limit, or below the
 * frost limit. Where a limit is crossed between two readings, the moment lies on the straight line
 * between them. At a gap in the readings an excursion ends: what came after is not known.
 * `readings` rise in time and may reach beyond both ends.
 */
export function excursionsOf(
  readings: readonly Reading[],
  rules: ClimateRules,
  from: number,
  to: number,
): Excursion[] {
  const warm = runsBeyond(readings, 'warm', rules.wakingLimitC, rules.maxGapMinutes)
  const cold = runsBeyond(readings, 'cold', rules.frostLimitC, rules.maxGapMinutes)
  return [...warm, ...cold]
    .flatMap((run) => clippedRun(run, readings, from, to))
    .sort((one, other) => one.beganAt - other.beganAt)
}

type Run = Omit<Excursion, 'peakTempC'> & { readonly limitC: number }

function runsBeyond(
  readings: readonly Reading[],
  kind: Excursion['kind'],
  limitC: number,
  maxGapMinutes: number,
): Run[] {
  const isBeyond = (reading: Reading) =>
    kind === 'warm' ? reading.tempC > limitC : reading.tempC < limitC
  const runs: Run[] = []
  let beganAt: number | null = null
  let before: Reading | null = null
  for (const reading of readings) {
    const joined = before !== null && reading.at - before.at <= maxGapMinutes * MS_PER_MINUTE
    if (before !== null && beganAt !== null && !(joined && isBeyond(reading))) {
      const endedAt = joined ? crossing(before, reading, limitC) : before.at
      runs.push({ kind, limitC, beganAt, endedAt })
      beganAt = null
    }
    if (isBeyond(reading) && beganAt === null) {
      beganAt = before !== null && joined ? crossing(before, reading, limitC) : reading.at
    }
    before = reading
  }
  if (before !== null && beganAt !== null) runs.push({ kind, limitC, beganAt, endedAt: before.at })
  return runs
}

function crossing(one: Reading, other: Reading, limitC: number): number {
  const share = (limitC - one.tempC) / (other.tempC - one.tempC)
  return Math.round(one.at + Math.min(1, Math.max(0, share)) * (other.at - one.at))
}

function clippedRun(run: Run, readings: readonly Reading[], from: number, to: number): Excursion[] {
  const beganAt = Math.max(run.beganAt, from)
  const endedAt = Math.min(run.endedAt, to)
  if (endedAt < beganAt || (endedAt === beganAt && run.endedAt > run.beganAt)) return []
  const temps = readings
    .filter((reading) => reading.at >= beganAt && reading.at <= endedAt)
    .map((reading) => reading.tempC)
  const worse = run.kind === 'warm' ? Math.max : Math.min
  const peakTempC = temps.reduce((one, other) => worse(one, other), run.limitC)
  return [{ kind: run.kind, beganAt, endedAt, peakTempC }]
}

/** Joins pieces of one excursion that a cut in time, such as midnight, has parted. */
export function joinExcursions(pieces: readonly Excursion[]): Excursion[] {
  const joined: Excursion[] = []
  for (const kind of ['warm', 'cold'] as const) {
    const ordered = pieces
      .filter((piece) => piece.kind === kind)
      .sort((one, other) => one.beganAt - other.beganAt)
    for (const piece of ordered) {
      const last = joined.at(-1)
      if (last?.kind === kind && piece.beganAt <= last.endedAt) {
        const worse = kind === 'warm' ? Math.max : Math.min
        const peakTempC = worse(last.peakTempC, piece.peakTempC)
        const endedAt = Math.max(last.endedAt, piece.endedAt)
        joined[joined.length - 1] = { kind, beganAt: last.beganAt, endedAt, peakTempC }
      } else joined.push(piece)
    }
  }
  return joined.sort((one, other) => one.beganAt - other.beganAt)
}

/** The longest; of equally long ones the earliest; null when there is none. */
export function largestExcursion(excursions: readonly Excursion[]): Excursion | null {
  let largest: Excursion | null = null
  for (const one of excursions) {
    const isLarger = largest === null || lengthOf(one) > lengthOf(largest)
    if (isLarger) largest = one
  }
  return largest
}

const lengthOf = (excursion: Excursion) => excursion.endedAt - excursion.beganAt
