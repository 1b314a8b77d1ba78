// What findings are worked out for, and which of it an entry's facts may change.
import type { Entry } from '#wire/entry.ts'
import type { FactRows, FactTable } from './fact-rows.ts'

/**
 * What a rule looks at. No rule looks at `bundle` and `lineage`: they stand for a bundle whose tag
 * may now be known, and for a lot or source whose change may tell on all that came of it.
 */
export type ScopeKind =
  | 'lot'
  | 'reference'
  | 'bundle'
  | 'lineage'
  | 'row'
  | 'block'
  | 'code'
  | 'device'
  | 'bath'
  | 'place'
  | 'source'
  | 'graft'
  | 'entry'
  | 'hold'

export type Scope = { kind: ScopeKind; id: string }

/** The scopes that `facts` of an entry touch, each once. */
export function scopesOf(entry: Entry, facts: FactRows): Scope[] {
  const scopes = new Map<string, Scope>()
  const add = (kind: ScopeKind, id: string) => scopes.set(`${kind} ${id}`, { kind, id })
  add('device', entry.device)
  for (const [table, rows] of Object.entries(facts)) {
    for (const row of rows) {
      for (const [column, value] of Object.entries(row)) {
        const kind = columnScopes[column]
        if (kind !== undefined && typeof value === 'string') add(kind, value)
      }
      for (const { kind, id } of scopesOfRow(table as FactTable, row)) add(kind, id)
    }
  }
  return [...scopes.values()]
}

/** Columns that name a scope in whatever table they stand. */
const columnScopes: Record<string, ScopeKind> = {
  lot_id: 'lot',
  parent_lot_id: 'lot',
  row_id: 'row',
  block_id: 'block',
  code: 'code',
  replaces_code: 'code',
  bath_id: 'bath',
  place_id: 'place',
  source_id: 'source',
  parent_source_id: 'source',
  graft_id: 'graft',
  withdrawn_id: 'entry',
  hold_id: 'hold',
}

type Row = Record<string, unknown>

/** Scopes that only rows of one table name. */
function scopesOfRow(table: FactTable, row: Row): Scope[] {
  const scope = (kind: ScopeKind, column: string): Scope => ({ kind, id: String(row[column]) })
  switch (table) {
    case 'lot':
      return [scope('reference', 'reference'), scope('lineage', 'lot_id')]
    case 'lot_parent':
      return [scope('lineage', 'lot_id')]
    case 'source':
    case 'source_standing':
    case 'source_test':
      return [scope('lineage', 'source_id')]
    case 'bundle':
      return [scope('bundle', 'bundle_id')]
    case 'graft':
      return [scope('graft', 'entry_id')]
    case 'withdrawal':
      return [scope('graft', 'withdrawn_id')]
    case 'movement':
      return isScoped(row.account_kind) ? [scope(row.account_kind, 'account_id')] : []
    case 'hold':
      if (row.on_kind === 'bath') return [scope('bath', 'on_id')]
      return row.on_kind === 'place' ? [] : [scope('lineage', 'on_id')]
    default:
      return []
  }
}

const isScoped = (kind: unknown): kind is 'place' | 'bath' => kind === 'place' || kind === 'bath'
