// The facts that any entry states, and the scopes whose findings they may change.
import type { Entry, EntryKind } from '#wire/entry.ts'
import { custodyFacts } from '../custody/facts.ts'
import { graftingFacts } from '../grafting/facts.ts'
import { tagFacts } from '../labels/facts.ts'
import { lotFacts } from '../lots/facts.ts'
import { nurseryFacts } from '../nursery/facts.ts'
import { deviceFacts } from '../people/facts.ts'
import { sourceFacts } from '../sources/facts.ts'
import { storeFacts } from '../store/facts.ts'
import { subjects } from './fact-rows.ts'
import type { FactRows, FactsOfKinds } from './fact-rows.ts'

const factsByKind: FactsOfKinds<EntryKind> = {
  ...nurseryFacts,
  ...sourceFacts,
  ...lotFacts,
  ...tagFacts,
  ...storeFacts,
  ...custodyFacts,
  ...graftingFacts,
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
  for (const { row_id, graft_id } of facts.take_check ?? []) {
    things.push({ kind: 'row', id: row_id })
    if (typeof graft_id === 'string') things.push({ kind: 'graft', id: graft_id })
  }
  return { entry_subject: subjects(entry, things) }
}

/** What findings are worked out for. */
export type ScopeKind = 'lot' | 'row' | 'code' | 'device' | 'bath' | 'source' | 'graft' | 'entry'
export type Scope = { kind: ScopeKind; id: string }

const scopeColumns: Record<string, ScopeKind> = {
  lot_id: 'lot',
  parent_lot_id: 'lot',
  row_id: 'row',
  code: 'code',
  bath_id: 'bath',
  source_id: 'source',
  graft_id: 'graft',
  withdrawn_id: 'entry',
}

/** The scopes that `facts` of an entry from `deviceId` touch, each once. */
export function scopesOf(entry: Entry, facts: FactRows): Scope[] {
  const scopes = new Map<string, Scope>()
  const add = (kind: ScopeKind, id: string) => scopes.set(`${kind} ${id}`, { kind, id })
  add('device', entry.device)
  for (const rows of Object.values(facts)) {
    for (const row of rows) {
      for (const [column, value] of Object.entries(row)) {
        const kind = scopeColumns[column]
        if (kind !== undefined && typeof value === 'string') add(kind, value)
      }
      if ('on_id' in row && (row.on_kind === 'lot' || row.on_kind === 'source')) {
        add(row.on_kind, row.on_id)
      }
    }
  }
  return [...scopes.values()]
}
