// What entries about samples that were examined state.
import { NIL_ID } from '#wire/basics.ts'
import type { Entry } from '#wire/entry.ts'
import { checkedAccount, move, subjects } from '../journal/fact-rows.ts'
import type { FactRows, FactsOfKinds } from '../journal/fact-rows.ts'
import { woodThings } from './facts.ts'

type CheckKind = 'check.viability' | 'check.moisture'

export const checkFacts: FactsOfKinds<CheckKind> = {
  'check.viability': (entry) => ({
    ...usedUp(entry),
    viability_check: [
      {
        ...sampled(entry),
        method: entry.body.method,
        sampled_count: entry.body.sampledCount,
        live_count: entry.body.liveCount,
        forced_days: entry.body.forcedDays,
      },
    ],
  }),
  'check.moisture': (entry) => ({
    ...usedUp(entry),
    moisture_check: [{ ...sampled(entry), ...measuredColumns(entry) }],
  }),
}

function sampled(entry: Entry<CheckKind>) {
  return {
    entry_id: entry.id,
    lot_id: entry.body.lotId,
    bundle_id: entry.body.bundleId ?? NIL_ID,
    person_id: entry.person,
    checked_at: entry.occurredAt,
  }
}

/** The movement of what the check used up, and the ways that lead to the entry. */
function usedUp(entry: Entry<CheckKind>): FactRows {
  const { lotId, bundleId, used } = entry.body
  const things = woodThings({ lotId, bundleId })
  if (used === null) return { entry_subject: subjects(entry, things) }
  const wood = { lotId, bundleId, unit: used.unit, count: used.count }
  return {
    movement: move(entry, 0, wood, used.from, checkedAccount),
    entry_subject: subjects(entry, [...things, used.from]),
  }
}

/** Weights in grams: fresh and dry, or at cutting and now; or a meter's figure in percent. */
function measuredColumns(entry: Entry<'check.moisture'>) {
  const { measured } = entry.body
  const none = { basis: null, first_grams: null, second_grams: null, percent: null }
  switch (measured.by) {
    case 'oven':
      return {
        ...none,
        measured_by: measured.by,
        first_grams: measured.freshGrams,
        second_grams: measured.dryGrams,
      }
    case 'meter':
      return {
        ...none,
        measured_by: measured.by,
        basis: measured.basis,
        percent: measured.percent,
      }
    case 'weighing again':
      return {
        ...none,
        measured_by: measured.by,
        first_grams: measured.atCutGrams,
        second_grams: measured.nowGrams,
      }
  }
}
