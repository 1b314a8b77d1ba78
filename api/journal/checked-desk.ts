// Records what a form says after checking it once more while no other form is being recorded.
import { sql } from 'kysely'
import type { Database } from '../../db/connect.ts'
import { refuse } from '../platform/errors.ts'
import type { FieldProblem } from '../platform/errors.ts'
import { recordAtDesk } from './desk.ts'
import type { Desk, Draft } from './desk.ts'

/** Held while a checked form is recorded, so that of two alike the second sees the first. */
const formLock = 7263021

/**
 * Like `recordAtDesk`; `check` is asked inside the transaction, when every form recorded before is
 * visible: a form sent twice, or two people taking the same wood, is refused with what is wrong.
 * Devices do not wait here, for what they send is kept in any case.
 */
export function recordChecked(
  db: Database,
  desk: Desk,
  drafts: Draft[],
  check: (trx: Database) => Promise<FieldProblem[]>,
): Promise<string[]> {
  return recordAtDesk(db, desk, drafts, async (trx) => {
    await sql`select pg_advisory_xact_lock(${formLock}::bigint)`.execute(trx)
    const problems = await check(trx)
    const first = problems[0]
    if (first !== undefined) refuse('form', first.message, { fields: problems })
  })
}
