// Writes entries that a person makes at the office desk, through the same way as a phone's.
import { sql } from 'kysely'
import type { Transaction } from 'kysely'
import type { Database } from '../../db/connect.ts'
import type { Tables } from '../../db/tables.ts'
import type { EntryBody, EntryKind } from '#wire/entry.ts'
import { entryKinds } from '#wire/entry.ts'
import { newId } from '../platform/clock.ts'
import { refuse } from '../platform/errors.ts'
import { inOneBatch } from './ingest.ts'
import { settleFindings } from './settle.ts'

/** What a form wants written: the rest of the entry is made here. */
export type Draft = DraftOf<EntryKind>
type DraftOf<K extends EntryKind> = {
  [P in K]: { kind: P; body: EntryBody<P>; occurredAt?: Date }
}[K]

/** Who is at which desk, and when. */
export type Desk = { deviceId: string; personId: string; now: Date }

const deskLock = 7263004

/**
 * Records `drafts` in one batch, all or none, with the desk's gapless counter, and settles the
 * findings. Returns the new entries' ids in order. Refuses with `bad_body` when a draft is not a
 * well-formed entry: at the desk the person is still there to put it right. `together` writes what
 * stands or falls with the entries; it may be called again when the batch loses a race.
 */
export async function recordAtDesk(
  db: Database,
  desk: Desk,
  drafts: Draft[],
  together: (trx: Transaction<Tables>) => Promise<void> = async () => undefined,
): Promise<string[]> {
  return recordMade(db, desk, async (trx) => {
    await together(trx)
    return drafts
  })
}

/**
 * Like `recordAtDesk`, for drafts that can only be made inside the transaction. `make` may be
 * called again when the batch loses a race.
 */
export async function recordMade(
  db: Database,
  desk: Desk,
  make: (trx: Transaction<Tables>) => Promise<Draft[]>,
): Promise<string[]> {
  let ids: string[] = []
  await inOneBatch(db, desk.deviceId, async (trx) => {
    const drafts = await make(trx)
    ids = drafts.map(() => newId())
    await sql`select pg_advisory_xact_lock(${deskLock}::bigint)`.execute(trx)
    const last = await trx
      .selectFrom('entry')
      .select(({ fn }) => fn.max('device_counter').as('counter'))
      .where('device_id', '=', desk.deviceId)
      .executeTakeFirst()
    return drafts.map((draft, nr) => {
      const entry = {
        id: ids[nr],
        kind: draft.kind,
        v: entryKinds[draft.kind].v,
        occurredAt: (draft.occurredAt ?? desk.now).toISOString(),
        device: desk.deviceId,
        deviceCounter: (last?.counter ?? 0) + 1 + nr,
        person: desk.personId,
        body: draft.body,
      }
      assertWellFormed(draft)
      return entry
    })
  })
  await settleFindings(db)
  return ids
}

/** Refuses a body that would be set aside, naming each field. */
export function assertWellFormed(draft: Draft): void {
  const read = entryKinds[draft.kind].body.safeParse(draft.body)
  if (read.success) return
  const fields = read.error.issues.map((issue) => ({
    field: issue.path.join('.'),
    message: issue.message,
  }))
  const first = fields[0]
  refuse('bad_body', `${first?.field ?? 'form'}: ${first?.message ?? 'unreadable'}`, { fields })
}
