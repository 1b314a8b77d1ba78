// The shape of what an entry states: rows for fact tables, keyed by table name.
import type { Insertable } from 'kysely'
import type { DB } from '../../db/types.ts'
import { NIL_ID } from '#wire/basics.ts'
import type { AccountShape, WoodShape } from '#wire/basics.ts'
import type { Entry, EntryKind } from '#wire/entry.ts'

/** Every table that the journal fills; `rebuild` empties exactly these. */
export const factTables = [
  'nursery',
  'variety',
  'party',
  'place',
  'block',
  'block_row',
  'row_section',
  'trunk_layer',
  'vine_change',
  'row_plan',
  'policy_setting',
  'source',
  'source_standing',
  'source_test',
  'source_inspection',
  'scheme_rule',
  'lot',
  'lot_parent',
  'bundle',
  'tag_print',
  'tag_binding',
  'tag_end',
  'movement',
  'bath',
  'bath_end',
  'soak',
  'graft',
  'vine_skip',
  'graft_removal',
  'take_check',
  'tool_cleaning',
  'tie_release',
  'viability_check',
  'moisture_check',
  'wood_acceptance',
  'treatment',
  'treated_wood',
  'treatment_reading',
  'weather_reading',
  'logger',
  'logger_layout',
  'temperature_log',
  'hold',
  'hold_lift',
  'finding_answer',
  'withdrawal',
  'device_key',
  'device_revocation',
  'entry_acceptance',
  'entry_subject',
] as const

export type FactTable = (typeof factTables)[number]

/** Rows for each table that one entry states. */
export type FactRows = { [T in FactTable]?: Insertable<DB[T]>[] }

/** What one kind of entry states: a pure function of that entry alone. */
export type FactsOf<K extends EntryKind> = (entry: Entry<K>) => FactRows

/** One function for each of the kinds K. */
export type FactsOfKinds<K extends EntryKind> = { [P in K]: FactsOf<P> }

/** An account of the books as the tables keep it. */
export type BookAccount = { kind: string; id: string }

/** The account of what is set on vines of a row. */
export const vineAccount = (rowId: string): BookAccount => ({ kind: 'vine', id: rowId })
/** The account of what was thrown away. */
export const discardedAccount: BookAccount = { kind: 'discarded', id: NIL_ID }
/** The account of what was used up by a check. */
export const checkedAccount: BookAccount = { kind: 'check', id: NIL_ID }
/** The account of what another lot took over or brought in. */
export const lotAccount = (lotId: string): BookAccount => ({ kind: 'lot', id: lotId })

/**
 * A pair of movement rows: `wood` leaves one account and enters another (invariant 4).
 * `line` is the number of the first row; the second has the next.
 */
export function move(
  entry: Entry,
  line: number,
  wood: WoodShape,
  from: BookAccount | AccountShape,
  to: BookAccount | AccountShape,
): NonNullable<FactRows['movement']> {
  const row = (nr: number, account: BookAccount | AccountShape, count: number) => ({
    entry_id: entry.id,
    line: nr,
    lot_id: wood.lotId,
    bundle_id: wood.bundleId ?? NIL_ID,
    unit: wood.unit,
    account_kind: account.kind,
    account_id: account.id,
    count,
    occurred_at: entry.occurredAt,
  })
  return [row(line, from, -wood.count), row(line + 1, to, wood.count)]
}

/** Rows that lead from a thing to this entry. */
export function subjects(
  entry: Entry,
  things: { kind: string; id: string | null }[],
): NonNullable<FactRows['entry_subject']> {
  const seen = new Set<string>()
  const rows: NonNullable<FactRows['entry_subject']> = []
  for (const { kind, id } of things) {
    if (id === null || id === NIL_ID || seen.has(id)) continue
    seen.add(id)
    rows.push({ entry_id: entry.id, line: rows.length, subject_kind: kind, subject_id: id })
  }
  return rows
}
