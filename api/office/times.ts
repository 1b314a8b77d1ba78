// Shows instants as people read them, in the nursery's time zone.
import { localDay, writtenTime } from '#trade/zone-time.ts'

/** Like `2027-02-03 14:05`. */
export function shownTime(at: Date, zone: string): string {
  return writtenTime(at.getTime(), zone)
}

/** Like `2027-02-03`. */
export function shownDay(at: Date, zone: string): string {
  return localDay(at.getTime(), zone)
}

/** Whole days that have passed between two instants. */
export function daysBetween(from: Date, to: Date): number {
  return Math.max(0, Math.floor((to.getTime() - from.getTime()) / 86_400_000))
}
