// Reads weather typed or pasted as lines of time, temperature, humidity and wind.
import { WEATHER_LIMIT } from '#wire/kinds/treatments.ts'
import { instantOfLocal } from '#trade/zone-time.ts'

/** One reading, its time in epoch milliseconds. */
export type WeatherTyped = {
  at: number
  tempC: number
  humidityPercent: number
  windMetresPerSecond: number | null
}

/** The readings, or every line that is wrong, in order. */
export type WeatherRead = { ok: true; readings: WeatherTyped[] } | { ok: false; problems: string[] }

const number = '(-?\\d{1,3}(?:[.,]\\d{1,3})?)'
const linePattern = new RegExp(
  `^(\\d{4}-\\d\\d-\\d\\d)[T ](\\d\\d:\\d\\d)\\s*[;\\t]\\s*${number}\\s*[;\\t]\\s*${number}` +
    `(?:\\s*[;\\t]\\s*${number})?$`,
)

/** Most lines that are named as wrong; there are seldom more that matter. */
const NAMED_LIMIT = 10

/**
 * Reads lines like `2027-04-06 14:00; 21.5; 40; 3`: local time in `zone`, °C, % humidity and, where
 * known, metres a second. Nothing is taken when any line is wrong.
 */
export function readWeatherText(text: string, zone: string, now: Date): WeatherRead {
  const readings: WeatherTyped[] = []
  const problems: string[] = []
  for (const [index, raw] of text.split(/\r?\n/).entries()) {
    const line = raw.replace(/^\uFEFF/, '').trim()
    if (line === '') continue
    const read = readLine(line, zone, now)
    if (typeof read === 'string') problems.push(`line ${index + 1}: ${read}`)
    else readings.push(read)
  }
  if (problems.length > 0) return { ok: false, problems: problems.slice(0, NAMED_LIMIT) }
  if (readings.length === 0) return { ok: false, problems: ['give at least one line'] }
  if (readings.length > WEATHER_LIMIT) {
    const many = `${readings.length} lines are more than ${WEATHER_LIMIT}: send them in parts`
    return { ok: false, problems: [many] }
  }
  return { ok: true, readings }
}

/** One line, or what is wrong with it and how to mend it. */
function readLine(line: string, zone: string, now: Date): WeatherTyped | string {
  const match = linePattern.exec(line)
  if (match === null) return `write it like 2027-04-06 14:00; 21.5; 40; 3, not “${line}”`
  const [, day = '', time = '', temp = '', humidity = '', wind] = match
  const at = instantOfLocal(`${day}T${time}`, zone)
  if (!at.ok) return at.remedy
  if (at.epochMs > now.getTime() + 15 * 60_000) return `${day} ${time} lies in the future`
  const value = (typed: string) => Number(typed.replace(',', '.'))
  const tempC = value(temp)
  const humidityPercent = value(humidity)
  const windMetresPerSecond = wind === undefined ? null : value(wind)
  if (tempC < -60 || tempC > 60) return `${tempC} °C is no weather; give degrees Celsius`
  if (humidityPercent < 0 || humidityPercent > 100) {
    return `humidity is from 0 to 100 %, not ${humidityPercent}`
  }
  if (windMetresPerSecond !== null && (windMetresPerSecond < 0 || windMetresPerSecond > 100)) {
    return `wind is from 0 to 100 m/s, not ${windMetresPerSecond}`
  }
  return { at: at.epochMs, tempC, humidityPercent, windMetresPerSecond }
}
