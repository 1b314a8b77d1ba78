// Holds: what use is stopped for, why, and whether it was lifted.
import { sql } from 'kysely'
import type { Database } from '../../db/connect.ts'
import { readNames } from '../journal/names.ts'
import type { FieldProblem } from '../platform/errors.ts'

/** What a hold can be placed on. */
export const heldKinds = ['lot', 'source', 'bath', 'place'] as const
export type HeldKind = (typeof heldKinds)[number]

export type HoldLine = {
  holdId: string
  onKind: HeldKind
  onId: string
  /** The name of what is held; null when nothing describes it. */
  onName: string | null
  agent: string | null
  reason: string
  placedAt: Date
  placedBy: string | null
  liftedAt: Date | null
  liftReason: string | null
  liftedBy: string | null
  secondPerson: string | null
}

/** Most holds on one page. */
export const HOLD_PAGE = 200

/** Holds, those that stand first, then by the time they were placed or lifted, the latest first. */
export function readHolds(db: Database): Promise<HoldLine[]> {
  return select(db, null)
}

/** One hold, or null when none has this id. */
export async function readHold(db: Database, holdId: string): Promise<HoldLine | null> {
  const [hold] = await select(db, holdId)
  return hold ?? null
}

type Row = Omit<HoldLine, 'onName' | 'placedBy' | 'liftedBy' | 'secondPerson'> & {
  personId: string
  lifterId: string | null
  secondId: string | null
}

async function select(db: Database, holdId: string | null): Promise<HoldLine[]> {
  const rows = await sql<Row>`
    select h.hold_id as "holdId", h.on_kind as "onKind", h.on_id as "onId", h.agent, h.reason,
      h.placed_at as "placedAt", h.person_id as "personId", l.lifted_at as "liftedAt",
      l.reason as "liftReason", l.person_id as "lifterId", l.second_person_id as "secondId"
    from (select distinct on (hold_id) * from hold order by hold_id, placed_at, entry_id) h
    left join lateral (select * from hold_lift where hold_lift.hold_id = h.hold_id
      order by lifted_at, entry_id limit 1) l on true
    where ${holdId}::uuid is null or h.hold_id = ${holdId}
    order by l.lifted_at is not null, coalesce(l.lifted_at, h.placed_at) desc, h.hold_id
    limit ${HOLD_PAGE}`.execute(db)
  const ids = rows.rows.flatMap(({ onId, personId, lifterId, secondId }) =>
    [onId, personId, lifterId, secondId].filter((id) => id !== null),
  )
  const names = await readNames(db, ids)
  const nameOf = (id: string | null) => (id === null ? null : (names.get(id) ?? null))
  return rows.rows.map(({ personId, lifterId, secondId, ...row }) => ({
    ...row,
    onName: nameOf(row.onId),
    placedBy: nameOf(personId),
    liftedBy: nameOf(lifterId),
    secondPerson: nameOf(secondId),
  }))
}

/**
 * A hold must be on something that the records know, of the kind said, and not stand already in
 * the same words.
 */
export async function newHoldProblems(
  db: Database,
  hold: { on: { kind: HeldKind; id: string }; agent: string | null; reason: string },
  field = 'on',
): Promise<FieldProblem[]> {
  const { on } = hold
  const twin = await db
    .selectFrom('standing_hold')
    .select('hold_id')
    .where('on_id', '=', on.id)
    .where('agent', 'is not distinct from', hold.agent)
    .where('reason', '=', hold.reason)
    .executeTakeFirst()
  if (twin !== undefined) {
    return [{ field, message: 'this very hold stands already, with the same reason' }]
  }
  const rows = await sql<{ known: boolean }>`select case ${on.kind}
    when 'lot' then exists (select 1 from lot where lot_id = ${on.id})
    when 'source' then exists (select 1 from source where source_id = ${on.id})
    when 'bath' then exists (select 1 from bath where bath_id = ${on.id})
    else exists (select 1 from place where place_id = ${on.id}) end as known`.execute(db)
  if (rows.rows[0]?.known === true) return []
  return [{ field, message: `this ${on.kind} is not known to the records: choose one` }]
}
