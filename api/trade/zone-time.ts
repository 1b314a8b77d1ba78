// Between the times people write in their own time zone and instants.
import { Temporal } from 'temporal-polyfill'

export type LocalTime =
  | { ok: true; epochMs: number; iso: string }
  | { ok: false; problem: 'not_a_time' | 'skipped' | 'twice'; remedy: string }

/**
 * The instant of a local time like `2027-02-03T14:05` in an IANA time zone. A time that the
 * change to summer time skips, or that the change back repeats, is refused with a remedy.
 */
export function instantOfLocal(text: string, zone: string): LocalTime {
  let local: Temporal.PlainDateTime
  try {
    local = Temporal.PlainDateTime.from(text)
  } catch {
    return { ok: false, problem: 'not_a_time', remedy: 'write it like 2027-02-03 14:05' }
  }
  try {
    const at = local.toZonedDateTime(zone, { disambiguation: 'reject' })
    return { ok: true, epochMs: at.epochMilliseconds, iso: at.toString({ timeZoneName: 'never' }) }
  } catch {
    const early = local.toZonedDateTime(zone, { disambiguation: 'earlier' })
    const twice = early.toPlainDateTime().equals(local)
    return twice
      ? { ok: false, problem: 'twice', remedy: 'the clocks went back: give a time an hour off' }
      : { ok: false, problem: 'skipped', remedy: 'the clocks went forward over this time' }
  }
}

/** The local date and time of an instant, like `2027-02-03T14:05`, to the minute. */
export function localOfInstant(epochMs: number, zone: string): string {
  return Temporal.Instant.fromEpochMilliseconds(epochMs)
    .toZonedDateTimeISO(zone)
    .toPlainDateTime()
    .toString({ smallestUnit: 'minute' })
}

/** The same as people read it, like `2027-02-03 14:05`. */
export function writtenTime(epochMs: number, zone: string): string {
  return localOfInstant(epochMs, zone).replace('T', ' ')
}

/** The local date of an instant, like `2027-02-03`. */
export function localDay(epochMs: number, zone: string): string {
  return localOfInstant(epochMs, zone).slice(0, 10)
}

/**
 * The first moment of a day like `2027-02-03` in a zone, in epoch milliseconds: midnight, or the
 * moment that the clocks jumped to over it. In UTC where this machine does not know the zone.
 */
export function startOfDay(day: string, zone: string): number {
  const known = isTimeZone(zone) ? zone : 'UTC'
  return Temporal.PlainDate.from(day).toZonedDateTime(known).epochMilliseconds
}

/** Is this an IANA time zone that this machine knows? */
export function isTimeZone(zone: string): boolean {
  try {
    Temporal.Instant.fromEpochMilliseconds(0).toZonedDateTimeISO(zone)
    return true
  } catch {
    return false
  }
}
