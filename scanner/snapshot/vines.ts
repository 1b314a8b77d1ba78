// How the vines of a row stand, by the records on the phone.
import type { PhoneGraft, PhonePlan, PhoneVine } from '../phone.ts'
import type { LaidRow } from './laid.ts'

/** One for each position of the row; grafts of this season and the one before, earliest first. */
export function vinesOf(row: LaidRow, seasonFromMs: number): PhoneVine[] {
  const seen = (position: number, since: number) =>
    row.grafts.some((graft) => graft[1] === position && graft[4] > since)
  const gone = new Set(
    row.gone.flatMap(([position, since]) => (seen(position, since) ? [] : [position])),
  )
  const began = new Map(row.began)
  const isOfThisVine = (position: number, at: number) =>
    at >= (began.get(position) ?? Number.NEGATIVE_INFINITY)
  const grafts = new Map<number, PhoneGraft[]>()
  for (const graft of row.grafts) {
    const [, position, , , at] = graft
    if (!isOfThisVine(position, at)) continue
    grafts.set(position, [...(grafts.get(position) ?? []), graftOf(row, graft)])
  }
  const skipped = new Set(
    row.skips.flatMap(([position, at]) =>
      at >= seasonFromMs && isOfThisVine(position, at) ? [position] : [],
    ),
  )
  return Array.from({ length: row.positionCount }, (_, nr) => ({
    position: nr + 1,
    missing: gone.has(nr + 1),
    grafts: grafts.get(nr + 1) ?? [],
    skipped: skipped.has(nr + 1),
  }))
}

function graftOf(row: LaidRow, [graftId, position, lotId, budCount, at]: LaidRow['grafts'][0]) {
  const isMeant = (told: LaidRow['checks'][0]) =>
    told[0] === position && (told[1] === graftId || (told[1] === null && told[2] >= at))
  const checks = row.checks.filter(isMeant).map((told) => told[2])
  return {
    graftId,
    lotId,
    budCount,
    graftedAt: new Date(at).toISOString(),
    removed: row.removals.some(([id]) => id === graftId),
    tieReleased: row.ties.some(isMeant),
    takeCheckedAt: checks.length === 0 ? null : new Date(Math.max(...checks)).toISOString(),
  }
}

/** The plans of a row, the latest first; `varietyOf` names a variety. */
export function plansOf(row: LaidRow, varietyOf: (id: string) => string): PhonePlan[] {
  return row.plans.map((plan) => ({
    rowId: row.rowId,
    ...plan,
    varietyName: varietyOf(plan.varietyId),
  }))
}
