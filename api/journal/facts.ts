// The facts that any entry states.
import type { Entry, EntryKind } from '#wire/entry.ts'
import { custodyFacts } from '../custody/facts.ts'
import { graftingFacts } from '../grafting/facts.ts'
import { tagFacts } from '../labels/facts.ts'
import { lotFacts } from '../lots/facts.ts'
import { nurseryFacts } from '../nursery/facts.ts'
import { deviceFacts } from '../people/facts.ts'
import { sourceFacts } from '../sources/facts.ts'
import { checkFacts } from '../store/check-facts.ts'
import { storeFacts } from '../store/facts.ts'
import { loggerFacts } from '../store/logger-facts.ts'
import { treatmentFacts } from '../store/treatment-facts.ts'
import { subjects } from './fact-rows.ts'
import type { FactRows, FactsOfKinds } from './fact-rows.ts'

const factsByKind: FactsOfKinds<EntryKind> = {
  ...nurseryFacts,
  ...sourceFacts,
  ...lotFacts,
  ...tagFacts,
  ...storeFacts,
  ...loggerFacts,
  ...custodyFacts,
  ...graftingFacts,
  ...checkFacts,
  ...treatmentFacts,
  ...deviceFacts,
}

/** The fact rows that `entry` states, by table: always the same for the same entry. */
export function factsOf(entry: Entry): FactRows {
  const state = factsByKind[entry.kind] as (entry: Entry) => FactRows
  return state(entry)
}

/**
 * What a withdrawn entry still states: nothing but the ways that lead to it, so that it shows in
 * the story of every thing it told of (invariant 10).
 */
export function factsOfWithdrawn(entry: Entry): FactRows {
  const facts = factsOf(entry)
  const things = (facts.entry_subject ?? []).map(({ subject_kind, subject_id }) => ({
    kind: subject_kind,
    id: subject_id,
  }))
  for (const { lot_id, row_id } of facts.graft ?? []) {
    things.push({ kind: 'lot', id: lot_id }, { kind: 'row', id: row_id })
  }
  for (const { row_id } of facts.vine_skip ?? []) things.push({ kind: 'row', id: row_id })
  for (const { row_id, graft_id } of [...(facts.take_check ?? []), ...(facts.tie_release ?? [])]) {
    things.push({ kind: 'row', id: row_id })
    if (typeof graft_id === 'string') things.push({ kind: 'graft', id: graft_id })
  }
  return { entry_subject: subjects(entry, things) }
}
