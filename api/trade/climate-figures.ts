// What one logger's readings say of one span of time: sums, extremes and excursions.
import { addSums, NO_SUMS } from './climate-sums.ts'
import type { ClimateRules, ClimateSums, Reading } from './climate-sums.ts'
import { excursionsOf, joinExcursions } from './excursions.ts'
import type { Excursion } from './excursions.ts'
import { ReadingPrefix } from './reading-prefix.ts'

export interface ClimateFigures {
  readonly sums: ClimateSums
  readonly lowestTempC: number | null
  readonly highestTempC: number | null
  readonly excursions: readonly Excursion[]
}

export const NO_FIGURES: ClimateFigures = {
  sums: NO_SUMS,
  lowestTempC: null,
  highestTempC: null,
  excursions: [],
}

/**
 * The figures of each span (epoch milliseconds), from readings that rise in time and reach over
 * the spans' ends by the longest gap that the rules allow.
 */
export function figuresOf(
  readings: readonly Reading[],
  rules: ClimateRules,
  spans: readonly { readonly from: number; readonly to: number }[],
): ClimateFigures[] {
  const prefix = new ReadingPrefix(readings, rules)
  return spans.map(({ from, to }) => {
    const within = readings.filter(({ at }) => at >= from && at <= to)
    return {
      sums: prefix.between(from, to),
      lowestTempC: extreme(Math.min, ...within.map(({ tempC }) => tempC)),
      highestTempC: extreme(Math.max, ...within.map(({ tempC }) => tempC)),
      excursions: excursionsOf(readings, rules, from, to),
    }
  })
}

/** The figures of two spans together; excursions that meet are one. */
export function addFigures(one: ClimateFigures, other: ClimateFigures): ClimateFigures {
  return {
    sums: addSums(one.sums, other.sums),
    lowestTempC: extreme(Math.min, one.lowestTempC, other.lowestTempC),
    highestTempC: extreme(Math.max, one.highestTempC, other.highestTempC),
    excursions: joinExcursions([...one.excursions, ...other.excursions]),
  }
}

function extreme(
  pick: (one: number, other: number) => number,
  ...temps: readonly (number | null)[]
): number | null {
  return temps.reduce((found, temp) => {
    if (found === null || temp === null) return found ?? temp
    return pick(found, temp)
  }, null)
}
