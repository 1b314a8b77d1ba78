// Works out findings again for every scope that new facts have touched.
import { sql } from 'kysely'
import type { Transaction } from 'kysely'
import type { Database } from '../../db/connect.ts'
import type { Tables } from '../../db/tables.ts'
import { countNewEntries } from './count-entries.ts'
import { findingRules, recordRules } from './finding-rules.ts'
import type { ScopeKind } from './scopes.ts'
import { addDependents, ScopeSet } from './touched-scopes.ts'

const settleLock = 7263003
/** Most queued scopes taken in one round. */
const ROUND_LIMIT = 5000

/**
 * Empties the queue of scopes: after it, `finding` is what the facts committed so far show.
 * Scopes queued by a batch that commits later are settled by the call after that one.
 */
export async function settleFindings(db: Database): Promise<void> {
  for (;;) {
    const taken = await db.transaction().execute(settleRound)
    if (taken < ROUND_LIMIT) return
  }
}

async function settleRound(trx: Transaction<Tables>): Promise<number> {
  await sql`select pg_advisory_xact_lock(${settleLock}::bigint)`.execute(trx)
  const queued = await sql<{ scope_kind: ScopeKind; scope_id: string }>`
    delete from finding_scope where queue_id in
      (select queue_id from finding_scope order by queue_id limit ${ROUND_LIMIT})
    returning scope_kind, scope_id`.execute(trx)
  if (queued.rows.length === 0) return 0
  await countNewEntries(trx)
  const scopes = new ScopeSet()
  for (const { scope_kind, scope_id } of queued.rows) scopes.add(scope_kind, [scope_id])
  await addDependents(trx, scopes)
  for (const kind of scopes.kinds()) await settleKind(trx, kind, scopes.of(kind))
  return queued.rows.length
}

async function settleKind(trx: Transaction<Tables>, kind: ScopeKind, ids: string[]): Promise<void> {
  const rules = [...findingRules, ...recordRules].filter((rule) => rule.scope === kind)
  if (rules.length === 0) return
  const found: { finding_key: string; code: string; scope_id: string; facts: object }[] = []
  for (const rule of rules) {
    for (const { scopeId, subject, facts } of await rule.find(trx, ids)) {
      const key = `${rule.code}:${subject}`
      found.push({ finding_key: key, code: rule.code, scope_id: scopeId, facts })
    }
  }
  await sql`delete from finding
    where scope_kind = ${kind} and scope_id = any(${ids}::text[])`.execute(trx)
  if (found.length === 0) return
  await sql`insert into finding (finding_key, code, scope_kind, scope_id, facts)
    select finding_key, code, ${kind}, scope_id, facts
    from jsonb_to_recordset(${JSON.stringify(found)}::jsonb)
      as f(finding_key text, code text, scope_id text, facts jsonb)
    on conflict (finding_key) do nothing`.execute(trx)
}
