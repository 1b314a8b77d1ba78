// Numbers and causes of the cold store's climate in words.
import type { ForecastCause } from '#trade/storage-forecast.ts'

/** A temperature to a tenth, with its unit; a dash where there is none. */
export function degrees(tempC: number | null): string {
  return tempC === null ? '–' : `${tempC.toFixed(1)} °C`
}

/** A relative humidity; a dash where there is none. */
export function percent(humidity: number | null): string {
  return humidity === null ? '–' : `${humidity.toFixed(0)} %`
}

/** Days to a tenth below a hundred, whole above. */
export function dayCount(days: number): string {
  return days < 100 ? days.toFixed(1) : days.toFixed(0)
}

/** Hours as hours and minutes. */
export function hourCount(hours: number): string {
  const minutes = Math.round(hours * 60)
  const rest = minutes % 60
  return rest === 0 ? `${(minutes - rest) / 60} h` : `${Math.floor(minutes / 60)} h ${rest} min`
}

/** What brings a limit about. */
export const causeWords: Readonly<Record<ForecastCause, string>> = {
  calendar: 'by the calendar',
  age: 'by its age',
  swelling: 'its buds may swell',
  waking: 'too long above the waking limit',
}

export const flagWords = {
  gap: 'no readings',
  stuck: 'the very same value for a day or more: the sensor may be stuck',
  spike: 'one reading far from both its neighbours',
  clock_shift: 'the minutes of the readings shift: the clock may have been set',
} as const
