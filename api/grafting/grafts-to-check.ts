// Which grafts of a row can be looked at: those on the vines that stand, of one season.
import type { RowReading } from './read.ts'
import type { CheckRow, GraftRow } from './row-facts.ts'
import type { SeasonOf } from './season.ts'

/** The grafts on each vine that stands now, not removed, of a season, by position from the head. */
export function graftsToCheck(
  reading: RowReading,
  season: number,
  seasonOf: SeasonOf,
): Map<number, GraftRow[]> {
  const vines = new Map<number, GraftRow[]>()
  for (const record of reading.records) {
    const life = record.lives.at(-1)
    if (life === undefined || record.absent !== null) continue
    const grafts = life.grafts.filter(
      (graft) => graft.removed_at === null && seasonOf(graft.grafted_at) === season,
    )
    if (grafts.length > 0) vines.set(record.position, grafts)
  }
  return vines
}

/** The latest check that tells of a graft, alone or with the others on its vine. */
export function latestCheck(reading: RowReading, graft: GraftRow): CheckRow | null {
  const checks = reading.facts.checks.filter(
    (check) =>
      check.graft_id === graft.graft_id ||
      (check.graft_id === null &&
        check.position === graft.position &&
        check.checked_at >= graft.grafted_at),
  )
  return checks.at(-1) ?? null
}
