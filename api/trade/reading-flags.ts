// What looks wrong in a logger's readings: shown beside them, never smoothed or filled in.
import type { Reading } from './climate-sums.ts'
import { MS_PER_HOUR, MS_PER_MINUTE } from './intervals.ts'

/** One doubt about a stretch of readings; times in epoch milliseconds. */
export interface ReadingFlag {
  readonly code: 'gap' | 'stuck' | 'spike' | 'clock_shift'
  readonly fromAt: number
  readonly toAt: number
  readonly tempC: number
}

/** A sensor that gives the very same value for so long is doubted; common practice, no source. */
export const STUCK_HOURS = 24
/** … if it gave at least so many readings in that time. */
export const STUCK_READINGS = 48
/** One reading so far from both its neighbours, which agree, is a spike; no source. */
export const SPIKE_C = 5
const NEIGHBOURS_C = 2
const SPIKE_MINUTES = 60

/**
 * The doubts about readings that rise in time, in order of time:
 * gaps longer than `maxGapMinutes`; a sensor stuck at one value; a single reading far from both
 * its neighbours; a shift of the clock, which shows where readings that kept to the same minutes
 * of the hour go on at others.
 */
export function flagsOf(readings: readonly Reading[], maxGapMinutes: number): ReadingFlag[] {
  const flags = [
    ...gaps(readings, maxGapMinutes * MS_PER_MINUTE),
    ...stuck(readings),
    ...spikes(readings),
    ...clockShifts(readings),
  ]
  return flags.sort((one, other) => one.fromAt - other.fromAt || one.toAt - other.toAt)
}

function gaps(readings: readonly Reading[], maxGapMs: number): ReadingFlag[] {
  return pairs(readings).flatMap(([before, after]): ReadingFlag[] => {
    if (after.at - before.at <= maxGapMs) return []
    return [{ code: 'gap', fromAt: before.at, toAt: after.at, tempC: before.tempC }]
  })
}

function stuck(readings: readonly Reading[]): ReadingFlag[] {
  const flags: ReadingFlag[] = []
  let from = 0
  for (let nr = 1; nr <= readings.length; nr += 1) {
    const first = readings[from]
    const last = readings[nr - 1]
    if (first === undefined || last === undefined) break
    if (readings[nr]?.tempC === first.tempC) continue
    const isLong = last.at - first.at >= STUCK_HOURS * MS_PER_HOUR
    if (isLong && nr - from >= STUCK_READINGS) {
      flags.push({ code: 'stuck', fromAt: first.at, toAt: last.at, tempC: first.tempC })
    }
    from = nr
  }
  return flags
}

function spikes(readings: readonly Reading[]): ReadingFlag[] {
  return pairs(readings).flatMap(([before, reading], nr): ReadingFlag[] => {
    const after = readings[nr + 2]
    if (after === undefined || after.at - before.at > SPIKE_MINUTES * MS_PER_MINUTE) return []
    const up = reading.tempC - before.tempC
    const down = reading.tempC - after.tempC
    const isFar = Math.abs(up) > SPIKE_C && Math.abs(down) > SPIKE_C && up > 0 === down > 0
    if (!isFar || Math.abs(after.tempC - before.tempC) > NEIGHBOURS_C) return []
    return [{ code: 'spike', fromAt: reading.at, toAt: reading.at, tempC: reading.tempC }]
  })
}

/** Needs a steady interval: three readings before and three after that keep to it. */
function clockShifts(readings: readonly Reading[]): ReadingFlag[] {
  const steps = pairs(readings).map(([before, after]) => after.at - before.at)
  return steps.flatMap((step, nr): ReadingFlag[] => {
    const usual = steps[nr - 1]
    const isSteady = [nr - 3, nr - 2, nr + 1, nr + 2, nr + 3].every((at) => steps[at] === usual)
    if (usual === undefined || !isSteady || step % usual === 0) return []
    const [before, after] = [readings[nr], readings[nr + 1]]
    if (before === undefined || after === undefined) return []
    return [{ code: 'clock_shift', fromAt: before.at, toAt: after.at, tempC: after.tempC }]
  })
}

function pairs(readings: readonly Reading[]): [Reading, Reading][] {
  return readings.slice(1).flatMap((after, nr): [Reading, Reading][] => {
    const before = readings[nr]
    return before === undefined ? [] : [[before, after]]
  })
}
