// Running sums over readings, so that what any span of time adds up to is two look-ups.
import { ratesAt, SUM_NAMES, sumsFrom } from './climate-sums.ts'
import type { ClimateRules, ClimateSums, Reading } from './climate-sums.ts'
import { MS_PER_HOUR, MS_PER_MINUTE } from './intervals.ts'

const width = SUM_NAMES.length
const humidAt = SUM_NAMES.indexOf('humidHours')

/**
 * The running sums of one logger's readings. Between two readings no further apart than the rules
 * allow, each rate (temperature, ageing …) is taken to run in a straight line from the one to the
 * other; a crossing of a limit counts half of its interval. Over a wider gap nothing is counted:
 * gaps are never bridged. Humidity counts between two readings that both have it.
 */
export class ReadingPrefix {
  readonly readings: readonly Reading[]
  private readonly rates: Float64Array
  private readonly sums: Float64Array
  private readonly maxGapMs: number

  /** @throws RangeError when the times of the readings do not rise from each to the next */
  constructor(readings: readonly Reading[], rules: ClimateRules) {
    this.readings = readings
    this.maxGapMs = rules.maxGapMinutes * MS_PER_MINUTE
    this.rates = new Float64Array(readings.length * width)
    this.sums = new Float64Array(readings.length * width)
    let before: Reading | null = null
    for (const [nr, reading] of readings.entries()) {
      if (before !== null && reading.at <= before.at) {
        throw new RangeError(`readings: number ${nr} is not later than the one before it`)
      }
      this.rates.set(ratesAt(reading, rules), nr * width)
      if (before !== null) this.addInterval(nr, reading.at - before.at)
      before = reading
    }
  }

  private addInterval(nr: number, lengthMs: number): void {
    const counts = lengthMs <= this.maxGapMs
    for (let column = 0; column < width; column += 1) {
      const past = this.sums[(nr - 1) * width + column] ?? 0
      const added = counts ? this.integral(nr - 1, column, lengthMs, lengthMs) : 0
      this.sums[nr * width + column] = past + added
    }
  }

  /** Of the interval after reading `nr`: a column's integral over its first `spanMs`, in hours. */
  private integral(nr: number, column: number, lengthMs: number, spanMs: number): number {
    const first = this.rates[nr * width + column] ?? 0
    const second = this.rates[(nr + 1) * width + column] ?? 0
    if (column >= humidAt && !this.isHumid(nr)) return 0
    const end = first + ((second - first) * spanMs) / lengthMs
    return (((first + end) / 2) * spanMs) / MS_PER_HOUR
  }

  private isHumid(nr: number): boolean {
    const one = this.rates[nr * width + humidAt]
    return one === 1 && this.rates[(nr + 1) * width + humidAt] === 1
  }

  /** What the time from `from` to `to` (epoch milliseconds) adds up to; nothing when to ≤ from. */
  between(from: number, to: number): ClimateSums {
    if (to <= from) return sumsFrom([])
    const early = this.until(from)
    const late = this.until(to)
    return sumsFrom(late.map((value, column) => value - (early[column] ?? 0)))
  }

  /** Everything from the first reading up to `at`, in the order of SUM_NAMES. */
  private until(at: number): number[] {
    const nr = this.lastBefore(at)
    const values: number[] = Array<number>(width).fill(0)
    const reading = this.readings[nr]
    if (reading === undefined) return values
    const next = this.readings[nr + 1]
    const lengthMs = next === undefined ? Number.POSITIVE_INFINITY : next.at - reading.at
    const partMs = lengthMs <= this.maxGapMs ? at - reading.at : 0
    for (let column = 0; column < width; column += 1) {
      const part = partMs > 0 ? this.integral(nr, column, lengthMs, partMs) : 0
      values[column] = (this.sums[nr * width + column] ?? 0) + part
    }
    return values
  }

  /** The number of the last reading at or before `at`; -1 when there is none. */
  private lastBefore(at: number): number {
    let low = -1
    let high = this.readings.length
    while (high - low > 1) {
      const middle = (low + high) >> 1
      if ((this.readings[middle]?.at ?? Number.POSITIVE_INFINITY) <= at) low = middle
      else high = middle
    }
    return low
  }
}
