// The shape of a rule that finds one sort of thing wrong in the records.
import { createHash } from 'node:crypto'
import { sql } from 'kysely'
import type { RawBuilder, Transaction } from 'kysely'
import type { Tables } from '../../db/tables.ts'
import type { FactsByFinding, FindingCode } from './finding-codes.ts'
import type { ScopeKind } from './scopes.ts'

/**
 * One finding in one scope. `subject` begins with the scope's id, tells findings of the same code
 * apart, and stays the same for as long as the thing is wrong: people answer it by its key.
 */
export type Found<Facts> = { scopeId: string; subject: string; facts: Facts }

/**
 * Finds everything of one sort that is wrong in the scopes given, all of one kind, from the facts
 * as they stand: never from the order in which entries came in.
 */
export type RuleOf<C extends FindingCode> = {
  code: C
  scope: ScopeKind
  find: (trx: Transaction<Tables>, ids: string[]) => Promise<Found<FactsByFinding[C]>[]>
}

export type FindingRule = { [C in FindingCode]: RuleOf<C> }[FindingCode]

/**
 * A rule that is one query. `query` gets the ids of the scopes as an array parameter of the type
 * `uuid[]` (or `text[]`), and selects the facts by their names; `subject` builds the rest of the
 * key from them.
 */
export function rule<C extends FindingCode>(
  code: C,
  scope: ScopeKind,
  scopeId: keyof FactsByFinding[C] & string,
  query: (ids: RawBuilder<string[]>) => RawBuilder<unknown>,
  parts: readonly (keyof FactsByFinding[C] & string)[] = [],
): RuleOf<C> {
  const type = sql.raw(scope === 'code' || scope === 'reference' ? 'text[]' : 'uuid[]')
  const find = async (trx: Transaction<Tables>, ids: string[]) => {
    const rows = await (query(sql<string[]>`${ids}::${type}`) as RawBuilder<FactsByFinding[C]>)
      .execute(trx)
      .then((result) => result.rows)
    return rows.map((facts) => ({
      scopeId: String(facts[scopeId]),
      subject: [scopeId, ...parts].map((part) => keyPart(String(facts[part]))).join(':'),
      facts,
    }))
  }
  return { code, scope, find }
}

/** Longest part of a key that is written out; two ids and a code leave no room for more. */
const KEY_PART_LIMIT = 40

/** A long text (the name of an agent, say) stands in a key by its hash: keys have a limit. */
function keyPart(text: string): string {
  if (text.length <= KEY_PART_LIMIT) return text
  return createHash('sha256').update(text).digest('hex').slice(0, KEY_PART_LIMIT)
}

/** A time of the facts as text in ISO 8601, UTC, for the facts of a finding. */
export function isoTime(column: string): RawBuilder<string> {
  return sql<string>`to_char(${sql.ref(column)} at time zone 'UTC',
    'YYYY-MM-DD"T"HH24:MI:SS"Z"')`
}
