// What the desk refuses about single vines and grafts: removals, skips and plantings out of time.
import type { FieldProblem } from '../platform/errors.ts'
import type { GraftRead } from './read-graft.ts'
import type { VineReading } from './read.ts'
import { stoodAt } from './vine-record.ts'
import type { VineRecord } from './vine-record.ts'

/** A vine that is skipped or removed stood there at the time, and was not grafted later. */
export function changeProblems(record: VineRecord, at: Date, field: string): FieldProblem[] {
  if (stoodAt(record, at.getTime())) return []
  const message =
    record.absent === null
      ? 'no vine stood here at that time: check the time'
      : 'no vine stands here: plant one first, or lay the row out again'
  return [{ field, message }]
}

/** A new vine comes after everything that is recorded of the vine before it. */
export function plantProblems(vine: VineReading, at: Date, field: string): FieldProblem[] {
  const { row } = vine.facts
  const { position, lives } = vine.record
  if (!vine.inRow) {
    const size = `row ${row.label} has only ${row.position_count} positions`
    const message = `${size}: lay it out again first`
    return [{ field, message }]
  }
  const later = lives.find((life) => life.plantedBy !== null && life.plantedBy.at > at.getTime())
  if (later === undefined) return []
  return [{ field, message: `a vine was planted at ${position} after this time: check the time` }]
}

/** A graft is removed once, and not before it was made. */
export function graftRemovalProblems(
  graft: GraftRead,
  at: Date,
  fields: { reason: string; when: string },
): FieldProblem[] {
  if (graft.removed_at !== null) {
    return [{ field: fields.reason, message: 'this graft is recorded as removed already' }]
  }
  if (at >= graft.grafted_at) return []
  return [
    { field: fields.when, message: 'the graft was made only after this time: check the time' },
  ]
}
