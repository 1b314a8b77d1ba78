// Reads a hot water curve typed or pasted as lines of minute and temperature.
import { CURVE_LIMIT } from '#wire/kinds/treatments.ts'
import type { CurveReading } from '#trade/hot-water.ts'

/** The readings in order, or what is wrong on which line. */
export type CurveRead = { ok: true; readings: CurveReading[] } | { ok: false; message: string }

/** A minute and a temperature, apart by a space, tab or semicolon; decimals by point or comma. */
const linePattern = /^(\d{1,4}(?:[.,]\d{1,3})?)\s*[;\t ]\s*(-?\d{1,3}(?:[.,]\d{1,3})?)$/

/** Reads lines like `12; 50.1`; empty lines are passed over. At least two readings are needed. */
export function readCurve(text: string): CurveRead {
  const readings: CurveReading[] = []
  for (const [index, raw] of text.split(/\r?\n/).entries()) {
    const line = raw.trim()
    if (line === '') continue
    const where = `line ${index + 1}`
    const match = linePattern.exec(line)
    if (match === null) {
      return wrong(`${where}: write a minute and a temperature, like 12; 50.1, not “${line}”`)
    }
    const minute = Number((match[1] ?? '').replace(',', '.'))
    const tempC = Number((match[2] ?? '').replace(',', '.'))
    const before = readings.at(-1)
    if (before !== undefined && minute <= before.minute) {
      return wrong(
        `${where}: minute ${minute} is not after ${before.minute}: put the lines in order of time`,
      )
    }
    if (minute > 1440) return wrong(`${where}: minute ${minute} is longer than a day`)
    if (tempC < 0 || tempC > 100) {
      return wrong(`${where}: ${tempC} °C is no temperature of water; give degrees Celsius`)
    }
    readings.push({ minute, tempC })
  }
  if (readings.length < 2) return wrong('give at least two readings, one a line')
  if (readings.length > CURVE_LIMIT) {
    return wrong(`${readings.length} readings are more than ${CURVE_LIMIT}: give one a minute`)
  }
  return { ok: true, readings }
}

const wrong = (message: string): CurveRead => ({ ok: false, message })
