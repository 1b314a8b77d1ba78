// When wood is usually put in and ready: the evening's and the morning's hours of the nursery.
import type { Policies } from '#trade/policies.ts'
import { instantOfLocal, localDay } from '#trade/zone-time.ts'

/** Grafting begins, the wood goes in, and how long it drains: common practice, no source. */
export const READY_TIME = '06:30'
export const INTO_WATER_TIME = '18:00'
export const DRAIN_MINUTES = 30

/** Days looked ahead for a morning by which the soak can be long enough. */
const DAYS_AHEAD = 14

/**
 * The first morning by which wood put in this evening is soaked for the least hours of the
 * policies, and that evening: now, when the hour is past.
 */
export function usualTimes(
  policies: Policies,
  now: Date,
  zone: string,
): { intoWaterAt: Date; readyAt: Date } {
  const evening = onDay(now, 0, INTO_WATER_TIME, zone)
  const intoWaterAt = evening !== null && evening.getTime() > now.getTime() ? evening : now
  const least = policies.soakMinHours.value * 3_600_000 + DRAIN_MINUTES * 60_000
  for (let days = 1; days <= DAYS_AHEAD; days += 1) {
    const readyAt = onDay(now, days, READY_TIME, zone)
    if (readyAt === null || readyAt.getTime() - least < intoWaterAt.getTime()) continue
    return { intoWaterAt, readyAt }
  }
  return { intoWaterAt, readyAt: new Date(intoWaterAt.getTime() + least) }
}

/** A time of day some days on; null where clocks change and there is no such time. */
function onDay(now: Date, days: number, time: string, zone: string): Date | null {
  const day = localDay(now.getTime(), zone)
  const noon = new Date(Date.parse(`${day}T12:00:00Z`) + days * 86_400_000)
  const read = instantOfLocal(`${noon.toISOString().slice(0, 10)}T${time}`, zone)
  return read.ok ? new Date(read.epochMs) : null
}
