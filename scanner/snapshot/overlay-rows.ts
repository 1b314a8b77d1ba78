// Lays what an own entry states of vines over the records, or takes it off.
import { withItem } from './overlay-lots.ts'
import type { Sign } from './overlay-lots.ts'
import type { OnVine, Stated } from './own-facts.ts'
import type { Laid, LaidRow } from './laid.ts'

/** Lays grafts, removals, checks, ties and skips of an entry made at `at` (epoch milliseconds). */
export function overlayVines(
  laid: Laid,
  entryId: string,
  stated: Stated,
  at: number,
  sign: Sign,
): void {
  const { graft, removedGraft, skip, tie } = stated
  if (graft !== undefined) {
    const { rowId, position, lotId, budCount } = graft
    const made: LaidRow['grafts'][number] = [entryId, position, lotId, budCount, at]
    changeRow(laid, rowId, (row) => ({
      ...row,
      grafts: withItem(row.grafts, made, sign, ([id]) => id === entryId).sort(
        (one, other) => one[4] - other[4] || (one[0] < other[0] ? -1 : 1),
      ),
    }))
    laid.rowOfGraft.set(entryId, rowId)
  }
  if (removedGraft !== undefined) {
    changeRow(laid, laid.rowOfGraft.get(removedGraft), (row) => ({
      ...row,
      removals: withItem(row.removals, [removedGraft, at], sign, (one) => {
        return one[0] === removedGraft && one[1] === at
      }),
    }))
  }
  if (skip !== undefined) {
    const { position } = skip
    changeRow(laid, skip.rowId, (row) => ({
      ...row,
      skips: withItem(row.skips, [position, at], sign, (one) => {
        return one[0] === position && one[1] === at
      }),
    }))
  }
  if (tie !== undefined) {
    changeRow(laid, tie.rowId, (row) => ({ ...row, ties: told(row.ties, tie, at, sign) }))
  }
  for (const check of stated.checks ?? []) {
    changeRow(laid, check.rowId, (row) => ({ ...row, checks: told(row.checks, check, at, sign) }))
  }
}

function told(rows: LaidRow['ties'], on: OnVine, at: number, sign: Sign): LaidRow['ties'] {
  return withItem(rows, [on.position, on.graftId, at], sign, (one) => {
    return one[0] === on.position && one[1] === on.graftId && one[2] === at
  })
}

/** A row that this phone does not hold is left alone: nothing of it is shown. */
function changeRow(laid: Laid, rowId: string | undefined, change: (row: LaidRow) => LaidRow): void {
  const row = rowId === undefined ? undefined : laid.rows.get(rowId)
  if (row !== undefined) laid.rows.set(row.rowId, change(row))
}
